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

char *
pw_issued_dup_text(const PwModel *model, const PwIssued *issued)
{
  g_autofree char *file =
      pw_model_dup_issued_file(model, issued->document, issued->version, issued->to, "txt");
  g_autofree char *path = g_build_filename(pw_model_peek_folder(model), file, NULL);
  return pw_file_read(path, LARGEST_TEXT, NULL, NULL, NULL);
}

/* What the owner said, and the points to sign, are short and read whole where they stand. */
static void
tell_without_lines(GArray *parts, const PwWords *words)
{
  static const char *const keys[] = {"consents", "agreement"};
  for (guint i = 0; i < parts->len; i++) {
    PwChangedPart *part = &g_array_index(parts, PwChangedPart, i);
    for (gsize j = 0; j < G_N_ELEMENTS(keys); j++)
      if (strcmp(part->heading, pw_words_peek(words, keys[j])) == 0)
        g_ptr_array_set_size(part->lines, 0);
  }
}

static void
compare_with_last(Work *work, const PwIssued *last, const char *before)
{
  const PwReportOptions *options = work->options;
  PwAmendment *amendment = &work->amendment;
  amendment->version = pw_report_next_version(work->model, options->kind, options->audience);
  if (last == NULL)
    return;
  amendment->replaces = last->version;
  amendment->replaced_on = last->on;
  if (before == NULL)
    return;
  g_autofree char *language = pw_amendment_dup_language(before);
  if (language != NULL && strcmp(language, pw_words_peek_language(options->words)) != 0) {
    amendment->language = g_steal_pointer(&language);
    return;
  }
  amendment->parts = pw_amendment_compare(before, work->text);
  tell_without_lines(amendment->parts, options->words);
}

/* ---- What may be issued ------------------------------------------------------------ */

/* What is kept behind a link is not in the volume folder, and is not found there again. */
static gboolean
may_be_kept(const PwModel *model, GError **error)
{
  g_autofree char *folder = g_build_filename(pw_model_peek_folder(model), PW_ISSUED_FOLDER, NULL);
  if (!g_file_test(folder, G_FILE_TEST_IS_SYMLINK))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE,
              "%s is a link; put a folder in its place, nothing was issued", folder);
  return FALSE;
}

static gboolean
may_be_entered(const PwModel *model, GError **error)
{
  const guint n = pw_model_n_errors(model);
  if (pw_model_peek_volume(model) == NULL)
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "there is no " PW_VOLUME_FILE " to enter it in; `platewright intake` makes one");
  else if (n > 0)
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "the record has %u %s; mend it first, nothing was issued", n,
                n == 1 ? "error" : "errors");
  else
    return TRUE;
  return FALSE;
}

static char *
dup_version(const PwIssued *last)
{
  char on[sizeof "2026-03-02"];
  if (!g_date_valid(&last->on))
    return g_strdup_printf("version %d", last->version);
  g_date_strftime(on, sizeof on, "%Y-%m-%d", &last->on);
  return g_strdup_printf("version %d of %s", last->version, on);
}

/* Who reads of two versions that the later takes the place of the earlier must be able to rely on
 * it; the clock says no more than that a day is still to come. */
static gboolean
is_its_day(const GDate *on, const PwIssued *last, GError **error)
{
  GDate today;
  pw_date_set_today(&today);
  if (g_date_compare(on, &today) > 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE,
                "that day is still to come; issue it on the day that it leaves");
    return FALSE;
  }
  if (last == NULL || !g_date_valid(&last->on) || g_date_compare(on, &last->on) >= 0)
    return TRUE;
  g_autofree char *version = dup_version(last);
  g_set_error(error, PW_ERROR, PW_ERROR_USE,
              "what is issued earlier cannot take the place of %s; name a day no earlier than that",
              version);
  return FALSE;
}

static gboolean
is_news(const Work *work, const PwIssued *last, const char *before, GError **error)
{
  if (before == NULL || strcmp(before, work->text) != 0)
    return TRUE;
  g_autofree char *version = dup_version(last);
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "nothing has changed since %s; that file stands",
              version);
  return FALSE;
}

/* What does not stand in the way, and is told. */
static void
find_doubts(Work *work)
{
  const PwReportOptions *options = work->options;
  const PwVolume *volume = pw_model_peek_volume(work->model);
  work->issue->is_late = options->kind == PW_REPORT_PROPOSAL && g_date_valid(&volume->returned);
  if (options->kind != PW_REPORT_TREATMENT || options->audience == PW_FOR_STUDIO)
    return;
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(work->model, options->audience);
  work->issue->n_open = ledger->n_open;
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

/* Also what could not be written to the end may have taken its name; a record that cannot be read
 * may hold it. */
static gboolean
is_on_record(const Work *work, const char *sha256)
{
  g_autofree char *path = dup_path(work, PW_VOLUME_FILE);
  g_autofree char *text = pw_file_read(path, PW_LIMIT_TEXT_BYTES, NULL, NULL, NULL);
  return text == NULL || strstr(text, sha256) != NULL;
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
    if (is_on_record(work, sha256))
      return FALSE;
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
  if (!may_be_entered(model, error) || !may_be_kept(model, error))
    return FALSE;
  const PwIssued *last = last_issued(model, options->kind, options->audience);
  if (!is_its_day(on, last, error))
    return FALSE;
  g_autoptr(PwDoc) doc = pw_report_write(model, options, error);
  if (doc == NULL)
    return FALSE;
  Work work = {.model = model, .options = options, .issue = issue, .amendment.on = *on};
  work.text = pw_doc_dup_text(doc);
  g_autofree char *before = last != NULL ? pw_issued_dup_text(model, last) : NULL;
  compare_with_last(&work, last, before);
  find_doubts(&work);
  issue->version = work.amendment.version;
  issue->file = dup_file(&work, issue->version, "pdf");
  gboolean kept = is_news(&work, last, before, error) && make_pdf(&work, error) &&
                  keep(&work, complaints, error);
  clear_work(&work);
  return kept;
}

/* ---- What was kept ----------------------------------------------------------------- */

typedef struct {
  const char *sha256;
  char *name;
  GBytes *bytes;
} Wanted;

static gboolean
take_wanted(void *user, const PwKept *kept)
{
  Wanted *wanted = user;
  if (!pw_kept_is(kept, wanted->sha256))
    return TRUE;
  wanted->name = g_strdup(kept->name);
  wanted->bytes = g_bytes_new(kept->data, kept->length);
  return FALSE;
}

GBytes *
pw_report_dup_kept(const PwModel *model, const char *sha256, char **name, GError **error)
{
  Wanted wanted = {.sha256 = sha256};
  pw_model_each_kept(model, take_wanted, &wanted);
  *name = wanted.name;
  if (wanted.bytes == NULL)
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "no file in " PW_ISSUED_FOLDER "/ is the one that was issued, by its checksum");
  return wanted.bytes;
}
