/* Documents, labels and tables: shown page by page, and as the files that the commands write. */
#include "desk-private.h"

#include <platewright/export.h>
#include <platewright/labels.h>
#include <platewright/report.h>

#include <string.h>

/* ---- Documents --------------------------------------------------------------------- */

/* Of the path's words: kind, for whom, language. */
static DeskAnswer *
take_options(const DeskCall *call, DeskPress *press, PwReportOptions *options)
{
  *options = (PwReportOptions){0};
  if (!pw_report_parse(call->words[0], &options->kind) ||
      !pw_audience_parse(call->words[1], &options->audience))
    return desk_answer_says(404, "there is no such document");
  DeskAnswer *refusal = desk_press_take(call, call->words[2], press);
  options->style = press->style;
  options->words = press->words;
  options->only = press->only;
  return refusal;
}

/* A page to be looked at, with the tag of the record that it was drawn off. */
static DeskAnswer *
answer_page(const DeskPress *press, GBytes *svg, guint n_pages, char **told, int version)
{
  gsize length;
  const char *data = g_bytes_get_data(svg, &length);
  g_autofree char *text = g_strndup(data, length);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_pair_string(json, "tag", press->state->tag);
  pw_json_pair_int(json, "pages", n_pages);
  pw_json_pair_int(json, "version", version);
  desk_put_told(json, told, press);
  pw_json_pair_string(json, "svg", text);
  pw_json_end(json);
  return desk_answer_json(json);
}

DeskAnswer *
desk_get_document_page(const DeskCall *call)
{
  g_auto(DeskPress) press = {0};
  PwReportOptions options;
  DeskAnswer *refusal = take_options(call, &press, &options);
  if (refusal != NULL)
    return refusal;
  g_autoptr(GError) error = NULL;
  g_auto(PwReportResult) result = {0};
  guint n_pages = 0;
  g_autoptr(GBytes) svg = pw_report_svg(press.state->model, &options, (guint)call->numbers[0],
                                        &n_pages, &result, &error);
  if (svg == NULL)
    return desk_answer_error(error);
  g_auto(GStrv) told = pw_report_result_dup_told(&result, press.state->words);
  return answer_page(&press, svg, n_pages, told,
                     pw_report_next_version(press.state->model, options.kind, options.audience));
}

typedef GBytes *(*Make)(const PwModel *model, const PwReportOptions *options,
                        PwReportResult *result, GError **error);

static DeskAnswer *
make_file(const DeskCall *call, Make make, const char *type, const char *ending)
{
  g_auto(DeskPress) press = {0};
  PwReportOptions options;
  DeskAnswer *refusal = take_options(call, &press, &options);
  if (refusal != NULL)
    return refusal;
  g_autoptr(GError) error = NULL;
  g_auto(PwReportResult) result = {0};
  GBytes *file = make(press.state->model, &options, &result, &error);
  if (file == NULL)
    return desk_answer_error(error);
  g_auto(GStrv) told = pw_report_result_dup_told(&result, press.state->words);
  g_autofree char *name = pw_model_dup_file_name(
      press.state->model, "report", pw_report_name(options.kind), options.audience, ending);
  return desk_answer_file(type, file, name, told);
}

DeskAnswer *
desk_get_document_pdf(const DeskCall *call)
{
  return make_file(call, pw_report_pdf, "application/pdf", "pdf");
}

DeskAnswer *
desk_get_document_html(const DeskCall *call)
{
  return make_file(call, pw_report_html, "text/html; charset=utf-8", "html");
}

/* ---- Labels ------------------------------------------------------------------------ */

DeskAnswer *
desk_get_labels_page(const DeskCall *call)
{
  g_auto(DeskPress) press = {0};
  DeskAnswer *refusal = desk_press_take(call, call->words[0], &press);
  if (refusal != NULL)
    return refusal;
  g_autoptr(GError) error = NULL;
  PwLabelResult result;
  const PwLabelOptions options = {press.style, press.words, (guint)call->numbers[0], NULL};
  g_autoptr(GBytes) svg =
      pw_labels_draw_svg(press.state->model, &options, (guint)call->numbers[1], &result, &error);
  if (svg == NULL)
    return desk_answer_error(error);
  g_auto(GStrv) told = pw_labels_result_dup_told(&result, press.state->words);
  return answer_page(&press, svg, result.n_sheets, told, 0);
}

DeskAnswer *
desk_get_labels_pdf(const DeskCall *call)
{
  g_auto(DeskPress) press = {0};
  DeskAnswer *refusal = desk_press_take(call, call->words[0], &press);
  if (refusal != NULL)
    return refusal;
  g_autoptr(GError) error = NULL;
  PwLabelResult result;
  const PwLabelOptions options = {press.style, press.words, (guint)call->numbers[0], NULL};
  GBytes *pdf = pw_labels_draw(press.state->model, &options, &result, &error);
  if (pdf == NULL)
    return desk_answer_error(error);
  g_auto(GStrv) told = pw_labels_result_dup_told(&result, press.state->words);
  g_autofree char *name =
      pw_model_dup_file_name(press.state->model, "labels", NULL, PW_FOR_STUDIO, "pdf");
  g_free(result.why_not_archival);
  return desk_answer_file("application/pdf", pdf, name, told);
}

/* ---- Tables ------------------------------------------------------------------------ */

DeskAnswer *
desk_get_table(const DeskCall *call)
{
  g_auto(DeskPress) press = {0};
  g_autoptr(GError) error = NULL;
  PwAudience audience;
  if (!pw_audience_parse(call->words[0], &audience))
    return desk_answer_says(404, "there is no such reader");
  DeskAnswer *refusal = desk_press_take(call, "en", &press);
  if (refusal != NULL)
    return refusal;
  char *text = pw_export_dup_table(press.state->model, audience, call->rest, &error);
  if (text == NULL)
    return desk_answer_error(error);
  g_autofree char *which = g_strndup(call->rest, strcspn(call->rest, "."));
  g_autofree char *name = pw_model_dup_file_name(press.state->model, which, NULL, audience, "csv");
  return desk_answer_file("text/csv; charset=utf-8", g_bytes_new_take(text, strlen(text)), name,
                          NULL);
}
