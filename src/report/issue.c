/* Documents that leave the studio: the very file is kept, and the record says which version of what
 * went to whom, when, and with which checksum. */
#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>

#include "amendment.h"
#include "set_pdf.h"
#include "write.h"

enum { LARGEST_TEXT = 16 * 1024 * 1024 };

typedef struct {
  const PwModel *model;
  const PwReportOptions *options;
  PwReportIssue *issue;
  PwAmendment amendment;
  char *text; /* of the document, but for what it says of its version */
  GBytes *pdf;
} Work;

void
pw_report_issue_clear(PwReportIssue *issue)
{
  g_clear_pointer(&issue->file, g_free);
  pw_report_result_clear(&issue->result);
}

static void
clear_work(Work *work)
{
  pw_amendment_clear(&work->amendment);
  g_free(work->text);
  g_clear_pointer(&work->pdf, g_bytes_unref);
}

/* ---- Names ------------------------------------------------------------------------- */

static char *
dup_file(const Work *work, int version, const char *ending)
{
  const PwReportOptions *options = work->options;
  return pw_model_dup_issued_file(work->model, pw_report_name(options->kind), version,
                                  pw_audience_name(options->audience), ending);
}

static char *
dup_path(const Work *work, const char *file)
{
  return g_build_filename(pw_model_peek_folder(work->model), file, NULL);
}

/* ---- The version before ------------------------------------------------------------ */

static const PwIssued *
last_issued(const PwModel *model, PwReportKind kind, PwAudience audience)
{
  const PwVolume *volume = pw_model_peek_volume(model);
  const PwIssued *last = NULL;
  for (gsize i = 0; volume != NULL && i < volume->n_issued; i++) {
    const PwIssued *issued = &volume->issued[i];
    if (g_strcmp0(issued->document, pw_report_name(kind)) == 0 &&
        g_strcmp0(issued->to, pw_audience_name(audience)) == 0 &&
        (last == NULL || issued->version > last->version))
      last = issued;
  }
  return last;
}

int
pw_report_next_version(const PwModel *model, PwReportKind kind, PwAudience audience)
{
  const PwIssued *last = last_issued(model, kind, audience);
  return last != NULL ? last->version + 1 : 1;
}

static void
compare_with_last(Work *work)
{
  const PwReportOptions *options = work->options;
  const PwIssued *last = last_issued(work->model, options->kind, options->audience);
  PwAmendment *amendment = &work->amendment;
  amendment->version = pw_report_next_version(work->model, options->kind, options->audience);
  if (last == NULL)
    return;
  amendment->replaces = last->version;
  amendment->replaced_on = last->on;
  g_autofree char *file = dup_file(work, last->version, "txt"), *path = dup_path(work, file);
  g_autofree char *before = pw_file_read(path, LARGEST_TEXT, NULL, NULL, NULL);
  if (before != NULL)
    amendment->parts = pw_amendment_compare(before, work->text);
}

/* ---- The file ---------------------------------------------------------------------- */

static gboolean
make_pdf(Work *work, GError **error)
{
  g_autoptr(PwDoc) doc =
      pw_report_write_version(work->model, work->options, &work->amendment, error);
  if (doc == NULL)
    return FALSE;
  PwReportResult *result = &work->issue->result;
  result->n_plates = doc->n_plates;
  result->n_left_out = doc->n_left_out;
  work->pdf = pw_set_pdf(work->model, doc, work->options, &result->archival,
                         &result->why_not_archival, error);
  return work->pdf != NULL;
}

static gboolean
keep_bytes(const char *path, const void *data, gsize length, GError **error)
{
  const PwWriteGuard guard = {.must_be_new = TRUE};
  return pw_file_write_whole(path, data, length, &guard, error);
}

static gboolean
make_folder(const Work *work, GError **error)
{
  enum { USUAL_MODE = 0777 };
  g_autofree char *folder = dup_path(work, PW_ISSUED_FOLDER);
  if (g_mkdir(folder, USUAL_MODE) == 0 || errno == EEXIST)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: %s", folder, g_strerror(errno));
  return FALSE;
}

static gboolean
enter_in_record(const Work *work, const char *sha256, PwComplaints *complaints, GError **error)
{
  g_autofree char *path = dup_path(work, PW_VOLUME_FILE);
  g_autofree char *tag = pw_volume_dup_tag(pw_model_peek_volume(work->model));
  g_autofree char *version = g_strdup_printf("%d", work->amendment.version);
  char on[sizeof "2026-03-02"];
  g_date_strftime(on, sizeof on, "%Y-%m-%d", &work->amendment.on);
  const char *const pairs[][2] = {
      {"document", pw_report_name(work->options->kind)}, {"version", version}, {"on", on},
      {"to", pw_audience_name(work->options->audience)}, {"sha256", sha256},
  };
  PwVolumeEdit edits[G_N_ELEMENTS(pairs)];
  const char *values[G_N_ELEMENTS(pairs)][2];
  for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++) {
    values[i][0] = pairs[i][1];
    values[i][1] = NULL;
    edits[i] = (PwVolumeEdit){"issued", "+", pairs[i][0], values[i]};
  }
  g_autofree char *new_tag = NULL;
  return pw_volume_edit(path, tag, edits, G_N_ELEMENTS(edits), &new_tag, complaints, error);
}

/* The file first: a version that the record names is there. Where the record does not take it, what
 * was just written goes again. */
static gboolean
keep(Work *work, PwComplaints *complaints, GError **error)
{
  gsize length;
  const void *data = g_bytes_get_data(work->pdf, &length);
  g_autofree char *sha256 = pw_sha256_dup_hex(data, length);
  g_autofree char *text_file = dup_file(work, work->amendment.version, "txt");
  g_autofree char *pdf = dup_path(work, work->issue->file), *text = dup_path(work, text_file);
  if (!make_folder(work, error) || !keep_bytes(pdf, data, length, error))
    return FALSE;
  if (keep_bytes(text, work->text, strlen(work->text), error)) {
    if (enter_in_record(work, sha256, complaints, error))
      return TRUE;
    g_unlink(text);
  }
  g_unlink(pdf);
  return FALSE;
}

gboolean
pw_report_issue(const PwModel *model, const PwReportOptions *options, const GDate *on,
                PwReportIssue *issue, PwComplaints *complaints, GError **error)
{
  *issue = (PwReportIssue){0};
  if (pw_model_peek_volume(model) == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "there is no " PW_VOLUME_FILE " to enter it in; `platewright intake` makes one");
    return FALSE;
  }
  g_autoptr(PwDoc) doc = pw_report_write(model, options, error);
  if (doc == NULL)
    return FALSE;
  Work work = {.model = model, .options = options, .issue = issue, .amendment.on = *on};
  work.text = pw_doc_dup_text(doc);
  compare_with_last(&work);
  issue->version = work.amendment.version;
  issue->file = dup_file(&work, issue->version, "pdf");
  gboolean kept = make_pdf(&work, error) && keep(&work, complaints, error);
  clear_work(&work);
  return kept;
}

/* ---- What was kept ----------------------------------------------------------------- */

GBytes *
pw_report_dup_kept(const PwModel *model, const char *sha256, char **name, GError **error)
{
  g_autofree char *folder = g_build_filename(pw_model_peek_folder(model), PW_ISSUED_FOLDER, NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *file; dir != NULL && (file = g_dir_read_name(dir)) != NULL;) {
    gsize length;
    g_autofree char *path = g_build_filename(folder, file, NULL);
    g_autofree char *data = pw_file_read(path, PW_LIMIT_ISSUED_BYTES, &length, NULL, NULL);
    g_autofree char *its = data != NULL ? pw_sha256_dup_hex(data, length) : NULL;
    if (its == NULL || g_ascii_strcasecmp(its, sha256) != 0)
      continue;
    *name = g_strdup(file);
    return g_bytes_new_take(g_steal_pointer(&data), length);
  }
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
              "no file in " PW_ISSUED_FOLDER "/ is the one that was issued, by its checksum");
  return NULL;
}
