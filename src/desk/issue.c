/* A document that leaves the studio, and those that have left it. */
#include "desk-private.h"

#include <platewright/report.h>

#include <string.h>

/* Neither a text nor a folder of the record that leads elsewhere is written through, or read. */
static DeskAnswer *
answer_links(const PwDesk *desk, const PwWords *words)
{
  static const char *const names[] = {PW_VOLUME_FILE, PW_ISSUED_FOLDER};
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autofree char *path = g_build_filename(desk->folder, names[i], NULL);
    if (g_file_test(path, G_FILE_TEST_IS_SYMLINK))
      return desk_answer_phrase(403, words, "desk-is-link", names[i]);
  }
  return NULL;
}

/* ---- Issued now -------------------------------------------------------------------- */

static DeskAnswer *
answer_issued(const DeskPress *press, const PwReportIssue *issue)
{
  g_auto(GStrv) told = pw_report_issue_dup_told(issue, press->state->words);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_pair_string(json, "file", issue->file);
  pw_json_pair_int(json, "version", issue->version);
  desk_put_told(json, told, press);
  pw_json_end(json);
  return desk_answer_json(json);
}

static DeskAnswer *
issue_now(const DeskPress *press, const PwReportOptions *options)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_auto(PwReportIssue) issue = {0};
  GDate today;
  pw_date_set_today(&today);
  if (!pw_report_issue(press->state->model, options, &today, &issue, complaints, &error))
    return error ? desk_answer_error(error)
                 : desk_answer_complaints(422, "the record does not take it", complaints);
  g_autoptr(DeskState) fresh = desk_shelf_look(press->desk->shelf, NULL);
  return answer_issued(press, &issue);
}

/* What was looked at is issued, or nothing: the tag is that of the record that it was drawn off. */
DeskAnswer *
desk_post_issue(const DeskCall *call)
{
  DeskAnswer *refusal;
  PwReportOptions options = {0};
  if (!pw_report_parse(call->words[0], &options.kind) ||
      !pw_audience_parse(call->words[1], &options.audience))
    return desk_answer_says(404, "there is no such document");
  g_autofree char *tag = desk_dup_asked_tag(call->ask, &refusal);
  if (tag == NULL || (refusal = answer_links(call->desk, call->state->words)) != NULL)
    return refusal;
  g_auto(DeskPress) press = {0};
  refusal = desk_press_take(call, call->words[2], &press);
  if (refusal != NULL)
    return refusal;
  if (strcmp(tag, press.state->tag) != 0)
    return desk_answer_complaints(412, pw_words_peek(press.state->words, "desk-issue-stale"), NULL);
  options.style = press.style;
  options.words = press.words;
  options.only = press.only;
  return issue_now(&press, &options);
}

/* ---- Issued before ----------------------------------------------------------------- */

static gboolean
is_on_record(const PwModel *model, const char *sha256)
{
  for (gsize i = 0; i < pw_model_n_issued(model); i++)
    if (g_strcmp0(pw_model_issued(model, i).text->sha256, sha256) == 0)
      return TRUE;
  return FALSE;
}

/* By what it holds: the checksum that the record has of it. */
DeskAnswer *
desk_get_kept(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *name = NULL;
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, &error);
  if (state == NULL)
    return desk_answer_error(error);
  if (!is_on_record(state->model, call->rest))
    return desk_answer_says(404, "the record tells of no such document");
  DeskAnswer *refusal = answer_links(call->desk, call->state->words);
  if (refusal != NULL)
    return refusal;
  GBytes *kept = pw_report_dup_kept(state->model, call->rest, &name, &error);
  return kept ? desk_answer_file("application/pdf", kept, name, NULL) : desk_answer_error(error);
}
