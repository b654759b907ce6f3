/* What the files of module bag share: paths, lines, algorithms, manifests. Section numbers are RFC
 * 8493's. */
#ifndef PW_BAG_PRIVATE_H
#define PW_BAG_PRIVATE_H

#include <platewright/bag.h>

#define PW_BAG_DECLARATION "bagit.txt"
#define PW_BAG_INFO "bag-info.txt"
#define PW_BAG_FETCH "fetch.txt"
#define PW_BAG_PAYLOAD "data"

/* ---- Paths: path.c ----------------------------------------------------------------- */

/* CR, LF and % as %0D, %0A, %25, nothing else (2.1.3). Yours. */
char *pw_bag_path_dup_encoded(const char *path);
/* Back. FALSE in `clean` where a % stands that begins none of the three; it stays. Yours. */
char *pw_bag_path_dup_decoded(const char *path, gboolean *clean);
/* Why a path must not be followed (5.1): it leaves the bag, or may do so on another machine. A
 * static text; NULL: it may be. */
const char *pw_bag_path_peek_danger(const char *path);
/* Whether it lies in the payload. */
gboolean pw_bag_path_is_payload(const char *path);

/* ---- Lines: lines.c ---------------------------------------------------------------- */

/* The lines of a text, ended by LF, CR or CR LF (2.3), one after the other. */
typedef struct {
  const char *at, *end;
  guint number; /* of the line last given, from 1 */
} PwBagLines;
PwBagLines pw_bag_lines(const char *text, gsize length);
/* The next one without its end, yours; NULL after the last. A line longer than PW_BAG_LINE_MAX is
 * cut there. */
char *pw_bag_lines_dup_next(PwBagLines *lines, gboolean *cut);
/* FALSE, complained of, when the whole is no UTF-8 text without a byte-order mark (2.3). */
gboolean pw_bag_text_is_sound(const char *file, const char *text, gsize length,
                              PwComplaints *complaints);
/* Complains of a line at a byte of it, as an error. */
void pw_bag_complain(PwComplaints *complaints, const char *file, guint number, const char *line,
                     gsize at, const char *kind, const char *says);

/* ---- Checksums: sums.c ------------------------------------------------------------- */

typedef enum { PW_BAG_MD5, PW_BAG_SHA1, PW_BAG_SHA256, PW_BAG_SHA512, PW_BAG_N_SUMS } PwBagSum;
/* By the name that a manifest's file name holds; FALSE for one that is not ours to compute. */
gboolean pw_bag_sum_parse(const char *word, PwBagSum *sum);
const char *pw_bag_sum_name(PwBagSum sum);
gsize pw_bag_sum_digits(PwBagSum sum); /* hex digits */
/* All sums that are `wanted`, in one reading of a regular file, as hex in lower case, yours. */
gboolean pw_bag_sum_file(const char *path, const gboolean wanted[PW_BAG_N_SUMS], const gint *stop,
                         char *hex[PW_BAG_N_SUMS], GError **error);

/* ---- Manifests: manifest.c --------------------------------------------------------- */

typedef struct {
  guint line;
  char *path; /* decoded; safe to follow */
  char *hex;  /* lower case */
} PwBagEntry;
typedef struct {
  char *name; /* "manifest-sha256.txt" */
  gboolean is_of_tags;
  PwBagSum sum;
  GArray *entries; /* PwBagEntry; each path once */
} PwBagManifest;
/* Whether a file of the bag is named as a manifest; `algorithm` is then yours, as it stands. */
gboolean pw_bag_manifest_is_name(const char *name, gboolean *is_of_tags, char **algorithm);
/* What it lists; what is wrong with a line is complained of and the line passed over. NULL,
 * complained of, when it is no text. */
PwBagManifest *pw_bag_manifest_parse(const char *name, gboolean is_of_tags, PwBagSum sum,
                                     const char *text, gsize length, PwComplaints *complaints);
void pw_bag_manifest_free(PwBagManifest *manifest);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwBagManifest, pw_bag_manifest_free)

/* ---- Tag files: tags.c ------------------------------------------------------------- */

/* Complains of all that bagit.txt must not say or leave out (2.1.1). */
void pw_bag_check_declaration(const char *text, gsize length, PwComplaints *complaints);
/* Complains of lines of bag-info.txt that are none (2.2.2); `oxum` where it says the payload's
 * size, and on which line. */
typedef struct {
  guint line; /* 0: it does not say */
  guint64 bytes, files;
} PwBagOxum;
void pw_bag_check_info(const char *text, gsize length, PwBagOxum *oxum, PwComplaints *complaints);

/* ---- What lies there: walk.c ------------------------------------------------------- */

typedef struct {
  char *path; /* relative to the bag */
  guint64 bytes;
  gboolean wanted[PW_BAG_N_SUMS];
  char *hex[PW_BAG_N_SUMS]; /* of those that are wanted, once they are computed */
  guint n_manifests;        /* of the payload, that list it */
} PwBagFile;
/* Every regular file of a folder and the folders in it, by path, sorted; links and what is neither
 * file nor folder are complained of. With `n_hidden` names that begin with a point are passed over,
 * and counted there. NULL and a GError past the limits, or where a folder could not be read. */
GPtrArray *pw_bag_walk(const char *folder, guint *n_hidden, PwComplaints *complaints,
                       GError **error);

/* ---- Names that fall together elsewhere: clash.c ----------------------------------- */

/* Warns of files whose names differ in case or in the form of their letters alone (6.1). */
void pw_bag_check_clashes(const GPtrArray *files, PwComplaints *complaints);

#endif
