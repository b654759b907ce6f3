/* Export: a record for other programs and for keeping: tables as CSV, and a bag (BagIt) of the
 * whole folder. Part of module report.
 */
#ifndef PLATEWRIGHT_EXPORT_H
#define PLATEWRIGHT_EXPORT_H

#include <platewright/model.h>
#include <platewright/style.h>

PW_BEGIN_DECLS

/* The cells of a size in a row under way: its value, and its expanded uncertainty (about 95 %) in
 * the same unit, under the names of two columns. */
void pw_export_put_size(PwCsv *csv, const char *column, const char *U_column, const PwSize *size);
/* The sizes of a mark, in columns "count", "area_mm2", "area_U_mm2", "perimeter_mm",
 * "perimeter_U_mm", "longest_mm", "longest_U_mm", "length_mm", "length_U_mm", "share_percent" and
 * "share_U_percent", as they apply to its kind. */
void pw_export_put_sizes(PwCsv *csv, const PwModelMark *mark);

/* Makes the folder `path`, which must not be there, of marks.csv, pieces.csv, hours.csv and
 * photographs.csv (RFC 4180, UTF-8; docs/exports.md has the columns). The public's holds no file
 * names, no hours, and of marks, pieces and photographs those that may be shown.
 * PW_ERROR_RECORD where nothing may be shown to them. */
gboolean pw_export_csv(const PwModel *model, PwAudience audience, const char *path,
                       GError **error);

/* The names of those tables, NULL-terminated, and the text of one; yours. Its errors are those of
 * pw_export_csv, and PW_ERROR_USE: no such table for this reader. */
char **pw_export_dup_tables(PwAudience audience);
char *pw_export_dup_table(const PwModel *model, PwAudience audience, const char *name,
                          GError **error);

typedef struct {
  const PwWords *words;
  PwAudience audience;
  const PwProgress *progress;
  const gint *stop; /* atomic; or NULL: given up, and nothing made, once it is not 0 */
} PwExportBag;
typedef struct {
  guint n_files, n_hidden; /* packed; passed over, because their names begin with a point */
  guint64 n_bytes;
} PwExportBagResult;
/* Makes the folder `path`, which must not be there, a bag (bag.h). The studio's holds every file of
 * the volume folder as it is, but those whose names begin with a point. The owner's holds the
 * photographs drawn anew at full size as JPEG, upright, in sRGB, without position, serial numbers
 * or any other metadata, the documents that were issued to the owner, and the tables. There is none
 * for the public (PW_ERROR_USE). Photographs that are not those taken in, and documents that are
 * not those issued, are complained of. FALSE without a GError where the complaints say why. */
gboolean pw_export_bag(const PwModel *model, const PwExportBag *options, const char *path,
                       PwExportBagResult *result, PwComplaints *complaints, GError **error);

PW_END_DECLS
#endif
