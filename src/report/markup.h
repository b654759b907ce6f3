/* Markup: HTML written element by element, so that what is opened is closed, and every text and
 * every value of an attribute passes the one function that escapes.
 *
 * Names of elements and attributes are ours, never text of a record.
 */
#ifndef PW_REPORT_MARKUP_H
#define PW_REPORT_MARKUP_H

#include <glib.h>

typedef struct PwMarkup PwMarkup;
PwMarkup *pw_markup_new(void);
void pw_markup_free(PwMarkup *markup);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwMarkup, pw_markup_free)

/* Opens an element; name, value pairs, NULL at the end. A pair whose value is NULL is left out. */
void pw_markup_open(PwMarkup *markup, const char *name, ...) G_GNUC_NULL_TERMINATED;
/* Closes the innermost. */
void pw_markup_close(PwMarkup *markup);
/* An element that holds nothing: of HTML a void one, of SVG any. */
void pw_markup_void(PwMarkup *markup, const char *name, ...) G_GNUC_NULL_TERMINATED;
/* An element that holds `text` alone. */
void pw_markup_element(PwMarkup *markup, const char *name, const char *text, ...)
    G_GNUC_NULL_TERMINATED;
/* Text without control characters, escaped; what stays on one line by no-break spaces. */
void pw_markup_text(PwMarkup *markup, const char *text);
/* As it stands: white space between blocks, and our own style and script, which HTML reads
 * unescaped. Never text of a record. */
void pw_markup_verbatim(PwMarkup *markup, const char *text);
/* All that was written, yours; every element must be closed. The writer is empty afterwards. */
GBytes *pw_markup_take_bytes(PwMarkup *markup);

/* A plain number for an attribute: at most two decimals, without the locale. Yours. */
char *pw_markup_dup_number(double value);

#endif
