/* A document set on pages, with all that it was set by, for the tests of its layout. */
#ifndef PW_TEST_REPORT_SET_H
#define PW_TEST_REPORT_SET_H

#include "report/set_pdf_setting.h"

typedef struct {
  PwStyle *style;
  PwWords *words;
  PwDoc *doc;
  PwPdf *pdf;
  PwSetting *setting;
} Set;

/* Takes the document. `style`: a name or a path. */
Set set_new(PwDoc *doc, const char *style);
/* Another document, which it takes, in place of the one it holds; the file, of which nothing may
 * have been drawn, and its fonts stay. */
void set_anew(Set *set, PwDoc *doc);
void set_clear(Set *set);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Set, set_clear)
/* The file; a copy of it is left in the build folder, to be looked at. */
GBytes *set_draw(Set *set, const char *name, gboolean *archival);
GBytes *set_draw_made(PwDoc *doc, const char *name);
/* The block that a strip belongs to; NULL: the title. */
const PwBlock *set_block_of(const PwSetting *s, const PwStrip *strip);
/* How often a word stands in a text. */
guint set_count(const char *text, const char *word);

#endif
