/* Base: what every module stands on, and what knows nothing of books.
 *
 * Errors and complaints, numbers without the locale, JSON, files written whole, progress.
 * The manner of every header here: new/free for things on the heap, init/clear for things in
 * place, dup for copies that are yours, take for things that stop being the giver's, peek for
 * things that stay the owner's. A pointer argument is not kept unless its comment says so.
 * A function that can fail takes a GError ** last and returns NULL or FALSE when it has failed.
 * Nothing in the library prints, exits or sets the locale.
 */
#ifndef PLATEWRIGHT_BASE_H
#define PLATEWRIGHT_BASE_H

#include <glib.h>
#include <stdio.h>

/* What is declared between these two is exported from the shared library. */
#define PW_BEGIN_DECLS G_BEGIN_DECLS _Pragma("GCC visibility push(default)")
#define PW_END_DECLS _Pragma("GCC visibility pop") G_END_DECLS

PW_BEGIN_DECLS

/* ---- Errors ------------------------------------------------------------------------ */

/* The domain of our GErrors. The code says who can mend it, and becomes the exit status of the
 * command; the message says what is wrong and what to do, without "error:" and without a full
 * stop, and names the file where there is one. */
#define PW_ERROR (pw_error_quark())
typedef enum {
  PW_ERROR_RECORD = 1,  /* the record says something that cannot stand: exit status 1 */
  PW_ERROR_USE = 2,     /* the caller asked for something that does not exist: 2 */
  PW_ERROR_FILE = 3,    /* a file could not be read or written: 3 */
  PW_ERROR_LIMIT = 4,   /* an input is larger or deeper than we read: 3 */
  PW_ERROR_STALE = 5,   /* a file has changed since it was read; nothing was written: 3 */
  PW_ERROR_NUMERIC = 6, /* the figures given have no answer (points on a line, ...): 1 */
  PW_ERROR_BUSY = 7     /* not now, but in a moment: another is at it, or it is being made: 3 */
} PwErrorCode;
GQuark pw_error_quark(void);

/* ---- Complaints -------------------------------------------------------------------- */

typedef enum { PW_SEVERITY_NOTE, PW_SEVERITY_WARNING, PW_SEVERITY_ERROR } PwSeverity;
const char *pw_severity_name(PwSeverity severity); /* "note", "warning", "error" */

/* One thing wrong with the record, at its place. Line and column count from 1 (column in
 * characters, not bytes); 0 where there is no place in a text. */
typedef struct {
  char *file;      /* relative to the volume folder */
  guint line, column;
  const char *kind; /* a static word for programs: "unknown key", "no scale", ... */
  PwSeverity severity;
  char *says;      /* what is wrong; what to do */
  char *excerpt;   /* the line of text, without its line end, or NULL; of a long line the part
                    * around the column */
  guint excerpt_column; /* the column of the excerpt's first character */
  gboolean excerpt_cut; /* the line goes on after the excerpt */
} PwComplaint;

/* A growing list of complaints, in the order found. All of a folder's are collected before
 * anything is said; past PW_LIMIT_COMPLAINTS the rest are only counted. */
typedef struct PwComplaints PwComplaints;
PwComplaints *pw_complaints_new(void);
void pw_complaints_free(PwComplaints *complaints);
/* Adds one; the strings are copied, `kind` must be static. `excerpt` may be NULL. */
void pw_complaints_add(PwComplaints *complaints, const char *file, guint line, guint column,
                       const char *kind, PwSeverity severity, const char *excerpt,
                       const char *format, ...) G_GNUC_PRINTF(8, 9);
/* Moves everything of `from` to the end of `complaints`, leaving `from` empty. */
void pw_complaints_move(PwComplaints *complaints, PwComplaints *from);
/* By file, line and column; complaints of equal place keep their order. First what keeps a text of
 * the folder itself from being read at all, for the rest may follow from it. */
void pw_complaints_sort(PwComplaints *complaints);
guint pw_complaints_n(const PwComplaints *complaints);
const PwComplaint *pw_complaints_peek(const PwComplaints *complaints, guint i);
/* How many there were, those that were only counted too. */
guint pw_complaints_count(const PwComplaints *complaints, PwSeverity at_least);
guint pw_complaints_n_dropped(const PwComplaints *complaints);
/* "FILE:LINE:COL: error: SAYS" and, where there is an excerpt, the line and a caret under the
 * column. Control characters are replaced. The string is yours. */
char *pw_complaint_dup_text(const PwComplaint *complaint);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwComplaints, pw_complaints_free)

/* ---- Limits ------------------------------------------------------------------------ */

enum {
  PW_LIMIT_TEXT_BYTES = 8 * 1024 * 1024, /* a text file of the record */
  PW_LIMIT_MARKS = 10000,                /* on one photograph */
  PW_LIMIT_POINTS = 100000,              /* of one outline */
  PW_LIMIT_DEPTH = 16,                   /* of YAML */
  PW_LIMIT_COMPLAINTS = 1000,
  PW_LIMIT_EDITS = 2000,                 /* of one text in one save */
  PW_LIMIT_PHOTOS = 10000                /* in one volume folder */
};

/* ---- Numbers, units, words --------------------------------------------------------- */

/* The whole of `text` as a decimal number: digits, one point, an exponent, a sign; no blanks, no
 * "inf", "nan" or hexadecimal. FALSE, and `value` untouched, when it is anything else or not
 * finite. Never asks the locale. */
gboolean pw_parse_double(const char *text, double *value);
gboolean pw_parse_int(const char *text, gint64 *value);

/* A value with its standard uncertainty u (coverage 1), in the unit that its holder's name ends
 * in; `dof` the effective degrees of freedom, INFINITY where they are. */
typedef struct {
  double value, u, dof;
} PwQuantity;

/* Shortest decimal that reads back to the same double, without locale: for JSON and YAML. What is
 * not finite becomes "nan", "inf" or "-inf", here and below, which pw_parse_double refuses. */
char *pw_format_double(double value);
/* `value` with `decimals` digits after the point (negative: rounded to tens, hundreds, ...),
 * half away from zero, without locale. Never "-0". */
char *pw_format_fixed(double value, int decimals);
/* How many decimals show `U` with two significant figures (negative for tens and up). */
int pw_decimals_for(double U);
/* A size of an uncertainty alone: two significant figures, and whatever stands before the point:
 * "0.28", "7.1", "123". */
char *pw_format_uncertainty(double U);
/* "412 ± 14": U to two significant figures, the value to the same digit. Where U is 0 (a loss made
 * good) the value stands alone: "0". */
char *pw_format_quantity(double value, double U);
/* A date of the record, 2026-03-02, checked against the calendar. */
gboolean pw_parse_date(const char *text, GDate *date);
/* The day that the clock here shows. */
void pw_date_set_today(GDate *date);
/* The next character of valid UTF-8; GLib's own macro casts const away. */
static inline const char *
pw_next_char(const char *at)
{
  return at + g_utf8_skip[(guchar)*at];
}
/* Text without control characters (each becomes U+FFFD; line feeds and tabs become spaces) and
 * without invalid UTF-8, fit for a terminal or a margin. Yours. */
char *pw_dup_printable(const char *text);
/* The next stretch of valid UTF-8, from byte `*from` on, that stays on one line, as "412 ± 14 mm²".
 * Its bytes; `*from` is where to look on: two stretches may share a character. FALSE: no more. */
gboolean pw_next_joined(const char *text, gsize *from, gsize *start, gsize *end);
/* With no-break spaces (U+00A0) in all such stretches, for who sets it by spaces alone. Yours. */
char *pw_dup_joined(const char *text);
/* The word of `words` (NULL-terminated) nearest to `word` by edit distance, if near enough to be
 * meant (a third of its length, at least 1), whatever the case; else NULL. Not a copy. */
const char *pw_nearest_word(const char *word, const char *const *words);
/* Likewise where other words may be meant as well, as "leaf edge" beside "head edge": one letter
 * amiss, or none but their case. */
const char *pw_nearest_slip(const char *word, const char *const *words);

/* ---- Money: decimals held exactly ---------------------------------------------------- */

/* `units` x 10^-`decimals`, never a double. What does not fit is refused, not rounded. */
typedef struct {
  gint64 units;
  guint decimals; /* 0 to PW_DECIMAL_PLACES */
} PwDecimal;
enum { PW_DECIMAL_PLACES = 8 };
/* Digits, one point with digits on both its sides, a minus: "24.50"; no exponent, no blanks, at
 * most 18 digits and PW_DECIMAL_PLACES of them after the point. FALSE, and `value` untouched, for
 * anything else. */
gboolean pw_decimal_parse(const char *text, PwDecimal *value);
/* To `decimals` after the point, half away from zero, as one who counts by hand rounds; "2.5" to
 * 2 decimals is 2.50. FALSE where that does not fit. */
gboolean pw_decimal_round(PwDecimal value, guint decimals, PwDecimal *rounded);
/* a + b, exactly. FALSE where the sum does not fit. */
gboolean pw_decimal_add(PwDecimal a, PwDecimal b, PwDecimal *sum);
/* a x b, and `percent` of a hundred parts of a, rounded once. FALSE where it does not fit. */
gboolean pw_decimal_multiply(PwDecimal a, PwDecimal b, guint decimals, PwDecimal *product);
gboolean pw_decimal_percent(PwDecimal a, PwDecimal percent, guint decimals, PwDecimal *part);
/* As pw_decimal_parse reads it, all decimals shown: "-1234.50". Yours. */
char *pw_decimal_dup_text(PwDecimal value);
/* Decimal text with zeros behind it, so that it has at least `decimals`: "68" as "68.00"; what
 * pw_decimal_parse does not read, and what is too long for that, as it is. Yours. */
char *pw_decimal_dup_padded(const char *text, guint decimals);
/* How many decimals sums of a currency have, by its three letters: the minor units of ISO 4217, as
 * 2 of EUR, 0 of JPY, 3 of BHD; 2 for letters that are not in its list. */
guint pw_currency_decimals(const char *currency);

/* ---- Colour ------------------------------------------------------------------------ */

/* CIELAB under D50 (CIE 15), as ICC profiles have it. */
typedef struct {
  double L, a, b;
} PwLab;
/* The light (0..1) that an 8-bit sample of sRGB stands for (IEC 61966-2-1). */
double pw_srgb_light(guint8 sample);
/* Of an sRGB colour given as light in red, green, blue; adapted to D50 by Bradford's matrix. */
PwLab pw_lab_from_light(const double light[3]);
/* The CIEDE2000 difference (ISO/CIE 11664-6), kL = kC = kH = 1. */
double pw_lab_difference(PwLab p, PwLab q);

/* ---- JSON -------------------------------------------------------------------------- */

/* Writes one JSON value piece by piece; commas, quotes and line breaks are its business. Misuse
 * (a value without key in an object) is a programmer's error and aborts. A number that is not
 * finite is written as null. */
typedef struct PwJson PwJson;
PwJson *pw_json_new(void);
void pw_json_free(PwJson *json);
void pw_json_begin_object(PwJson *json);
void pw_json_begin_array(PwJson *json);
void pw_json_end(PwJson *json);
void pw_json_key(PwJson *json, const char *key);
void pw_json_string(PwJson *json, const char *value); /* NULL: null */
void pw_json_double(PwJson *json, double value);
void pw_json_int(PwJson *json, gint64 value);
void pw_json_bool(PwJson *json, gboolean value);
void pw_json_null(PwJson *json);
/* A key and its value. */
void pw_json_pair_string(PwJson *json, const char *key, const char *value);
void pw_json_pair_double(PwJson *json, const char *key, double value);
void pw_json_pair_int(PwJson *json, const char *key, gint64 value);
/* A complaint's pairs, of an object that is open: "file", "line", "column", "kind", "severity" and
 * "says", as in `check --json`. */
void pw_json_pairs_of_complaint(PwJson *json, const PwComplaint *complaint);
/* The text, with a line feed at the end; yours; the writer is empty afterwards. */
char *pw_json_take_text(PwJson *json);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwJson, pw_json_free)

/* ---- CSV (RFC 4180) ---------------------------------------------------------------- */

/* Writes a table row by row: a head of the columns' names, lines ended by CR LF, a decimal point. A
 * cell of text that a spreadsheet would run as a formula (it begins with = + - @, a tab or a CR)
 * gets an apostrophe in front; numbers stay numbers. Text without valid UTF-8 is made valid. */
typedef struct PwCsv PwCsv;
/* `columns` (NULL-terminated) must outlive it. */
PwCsv *pw_csv_new(const char *const *columns);
void pw_csv_free(PwCsv *csv);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwCsv, pw_csv_free)
/* A cell of the row under way; one that is put nothing into stays empty. A name that is no column's
 * is a programmer's error and aborts. */
void pw_csv_put_text(PwCsv *csv, const char *column, const char *text); /* NULL: empty */
void pw_csv_put_double(PwCsv *csv, const char *column, double value);   /* not finite: empty */
void pw_csv_put_fixed(PwCsv *csv, const char *column, double value, int decimals); /* likewise */
void pw_csv_put_int(PwCsv *csv, const char *column, gint64 value);
/* A number of the record that is text there already, "68.00", and is checked to be one. */
void pw_csv_put_decimal(PwCsv *csv, const char *column, const char *text);
void pw_csv_put_date(PwCsv *csv, const char *column, const GDate *date); /* ISO 8601; or empty */
void pw_csv_end_row(PwCsv *csv);
/* All rows, yours; the writer is done with. */
char *pw_csv_take_text(PwCsv *csv);

/* ---- QR codes (ISO/IEC 18004) ------------------------------------------------------ */

enum { PW_QR_QUIET = 4 }; /* modules of light margin that a reader wants on each side */
/* The modules of a code, row by row from the upper left, without that margin. */
typedef struct {
  int side;       /* modules */
  gboolean *dark; /* side x side */
} PwQr;
/* The bytes of `text` at level M, in the smallest code that holds them; NULL and PW_ERROR_LIMIT
 * when none does (2331 bytes), PW_ERROR_USE for an empty text. */
PwQr *pw_qr_new(const char *text, GError **error);
void pw_qr_free(PwQr *qr);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwQr, pw_qr_free)
gboolean pw_qr_is_dark(const PwQr *qr, int x, int y); /* FALSE beyond its sides */

/* ---- SHA-256 (FIPS 180-4) ---------------------------------------------------------- */

/* A sum over bytes as they come. */
typedef struct PwSha256 PwSha256;
PwSha256 *pw_sha256_new(void);
void pw_sha256_free(PwSha256 *sum);
void pw_sha256_add(PwSha256 *sum, const void *data, gsize length);
/* The sum so far as 64 lower-case hex digits, yours; the sum then starts anew. */
char *pw_sha256_take_hex(PwSha256 *sum);
/* Of one block of bytes. Yours. */
char *pw_sha256_dup_hex(const void *data, gsize length);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwSha256, pw_sha256_free)

/* ---- Files ------------------------------------------------------------------------- */

/* What tells a file's very content apart from a later one without reading it. */
typedef struct {
  guint64 device, inode, size;
  gint64 modified_ns, changed_ns; /* since 1970: mtime and ctime */
} PwFileState;
/* Of the file that the path leads to, through links. */
gboolean pw_file_state_of(const char *path, PwFileState *state, GError **error);
gboolean pw_file_state_of_fd(int fd, PwFileState *state);
gboolean pw_file_state_equal(const PwFileState *a, const PwFileState *b);

/* Opens a regular file for reading, never a link's target, a device or a pipe (O_NOFOLLOW,
 * O_NONBLOCK, O_NOATIME where allowed). The descriptor, yours to close, or -1. */
int pw_file_open(const char *path, PwFileState *state, GError **error);
/* A whole file of at most `limit` bytes, with its state; NUL-terminated besides. */
char *pw_file_read(const char *path, gsize limit, gsize *length, PwFileState *state,
                   GError **error);

/* Writes a file whole or not at all: a temporary file beside it (".platewright-tmp-XXXXXX"),
 * flushed, renamed over it, the folder flushed. With `expected` the write is refused
 * (PW_ERROR_STALE) unless the file there is still in that state; with `must_be_new` when there is
 * a file of that name. A file replaced keeps its permission bits. */
typedef struct {
  const PwFileState *expected; /* or NULL */
  gboolean must_be_new;
  PwFileState *written; /* or NULL: where to put the state of the file that was written */
} PwWriteGuard;
gboolean pw_file_write_whole(const char *path, const void *data, gsize length,
                             const PwWriteGuard *guard, GError **error);
/* The same for bytes that come piece by piece: new, add, finish. Freed before it was finished,
 * nothing is left behind. `guard` (or NULL) is the same at both ends. */
typedef struct PwWriting PwWriting;
PwWriting *pw_writing_new(const char *path, const PwWriteGuard *guard, GError **error);
gboolean pw_writing_add(PwWriting *writing, const void *data, gsize length, GError **error);
/* What is added next goes to `offset` bytes from the start, over what stands there. */
gboolean pw_writing_go_back(PwWriting *writing, gint64 offset, GError **error);
gboolean pw_writing_finish(PwWriting *writing, const PwWriteGuard *guard, GError **error);
void pw_writing_free(PwWriting *writing);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwWriting, pw_writing_free)
/* Prefix of the temporary names, so that `check` can find what a crash left behind. */
#define PW_TEMP_PREFIX ".platewright-tmp-"

/* A folder of files made whole or not at all: a temporary folder beside it
 * (".platewright-tmp-XXXXXX") is filled, flushed, and takes the name at the end, over nothing that
 * is there. Freed before it was finished, all that was made is taken away again. */
typedef struct PwFiling PwFiling;
PwFiling *pw_filing_new(const char *path, GError **error);
void pw_filing_free(PwFiling *filing);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwFiling, pw_filing_free)
/* PW_ERROR_FILE, with both figures told, where so many bytes have no room on that disk. */
gboolean pw_filing_has_room(const PwFiling *filing, guint64 bytes, GError **error);
/* One file at a time: begin, add, end. `inside` is its path in the folder, with '/' between
 * folders, which are made as they are needed. */
gboolean pw_filing_begin(PwFiling *filing, const char *inside, GError **error);
gboolean pw_filing_add(PwFiling *filing, const void *data, gsize length, GError **error);
gboolean pw_filing_end(PwFiling *filing, GError **error);
/* The three of them for bytes that are all there. */
gboolean pw_filing_put(PwFiling *filing, const char *inside, const void *data, gsize length,
                       GError **error);
gboolean pw_filing_finish(PwFiling *filing, GError **error);

/* ---- Progress ---------------------------------------------------------------------- */

/* Told by long work, from any thread but never from two at once. */
typedef struct {
  void (*step)(void *user, const char *what, guint done, guint total);
  void *user;
} PwProgress;
void pw_progress_step(const PwProgress *progress, const char *what, guint done, guint total);

/* Calls `work(user, i)` for i in 0..n-1 on all cores (at most `threads`, 0 for one a core), and
 * returns when every call has. The order of calls is not defined. */
void pw_each(guint n, guint threads, void (*work)(void *user, guint i), void *user);

PW_END_DECLS
#endif
