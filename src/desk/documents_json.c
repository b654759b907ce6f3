/* What documents there can be, and which there have been. */
#include "desk-private.h"

#include <platewright/export.h>
#include <platewright/labels.h>
#include <platewright/report.h>

#include <string.h>

static const PwAudience audiences[] = {PW_FOR_STUDIO, PW_FOR_OWNER, PW_FOR_PUBLIC};

static void
put_choices(PwJson *json)
{
  static const PwReportKind kinds[] = {PW_REPORT_RECEIPT, PW_REPORT_CONDITION, PW_REPORT_PROPOSAL,
                                       PW_REPORT_TREATMENT, PW_REPORT_SUMMARY};
  const char *kind_names[G_N_ELEMENTS(kinds) + 1] = {NULL};
  const char *audience_names[G_N_ELEMENTS(audiences) + 1] = {NULL};
  for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++)
    kind_names[i] = pw_report_name(kinds[i]);
  for (gsize i = 0; i < G_N_ELEMENTS(audiences); i++)
    audience_names[i] = pw_audience_name(audiences[i]);
  g_auto(GStrv) languages = pw_words_dup_languages(), styles = pw_styles_dup_names();
  desk_key_texts(json, "kinds", kind_names);
  desk_key_texts(json, "audiences", audience_names);
  desk_key_texts(json, "languages", (const char *const *)languages);
  desk_key_texts(json, "styles", (const char *const *)styles);
  pw_json_pair_int(json, "labels", PW_LABELS_A_SHEET);
}

static void
put_tables(PwJson *json)
{
  pw_json_key(json, "tables");
  pw_json_begin_object(json);
  for (gsize i = 0; i < G_N_ELEMENTS(audiences); i++) {
    g_auto(GStrv) names = pw_export_dup_tables(audiences[i]);
    desk_key_texts(json, pw_audience_name(audiences[i]), (const char *const *)names);
  }
  pw_json_end(json);
}

static void
put_day(PwJson *json, const char *key, const GDate *day)
{
  char text[sizeof "2026-03-02"] = "";
  if (g_date_valid(day))
    g_date_strftime(text, sizeof text, "%Y-%m-%d", day);
  pw_json_pair_string(json, key, *text ? text : NULL);
}

/* One that no longer stands says why, in the words that documents have for it. */
static void
put_issued(PwJson *json, const DeskState *state)
{
  pw_json_key(json, "issued");
  pw_json_begin_array(json);
  for (gsize i = 0; i < pw_model_n_issued(state->model); i++) {
    const PwModelIssued issued = pw_model_issued(state->model, i);
    const PwIssued *text = issued.text;
    g_autofree char *key = g_strconcat("issued-", pw_issued_standing_name(issued.standing), NULL);
    const gboolean stands = issued.standing == PW_ISSUED_STANDS;
    pw_json_begin_object(json);
    pw_json_pair_string(json, "document", text->document);
    pw_json_pair_int(json, "version", text->version);
    put_day(json, "on", &text->on);
    pw_json_pair_string(json, "to", text->to);
    pw_json_pair_string(json, "sha256", text->sha256);
    pw_json_pair_string(json, "says", stands ? NULL : pw_words_peek(state->words, key));
    pw_json_end(json);
  }
  pw_json_end(json);
}

DeskAnswer *
desk_get_documents(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, &error);
  if (state == NULL)
    return desk_answer_error(error);
  GDate today;
  pw_date_set_today(&today);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  put_choices(json);
  pw_json_pair_string(json, "language", pw_model_peek_language(state->model));
  put_day(json, "today", &today);
  put_tables(json);
  put_issued(json, state);
  pw_json_end(json);
  return desk_answer_json(json);
}
