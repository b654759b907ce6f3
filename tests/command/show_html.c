/* Writes a document with every kind of block about a volume as HTML, for the tests to open.
 *   show-html FOLDER WHOM LANGUAGE FILE */
#include <platewright/platewright.h>

#include "report/chart.h"
#include "report/faces.h"
#include "report/set_html.h"

static const char hostile[] = "</script></style><img src=x onerror=alert(1)> & \"quoted\" 'so'";

static void
add_words(PwDoc *doc)
{
  pw_doc_heading(doc, 1, "Words", "words");
  pw_doc_say(doc, PW_PARAGRAPH_LEAD, PW_VOICE_PLAIN,
             "The register came in with loose sewing, a cracked joint and stains on its cloth. It "
             "goes back sewn, hinged and cleaned.");
  PwProse *prose = pw_doc_paragraph(doc, PW_PARAGRAPH_BODY);
  pw_prose_add(prose, PW_VOICE_PLAIN, "The spine leather was lifted; ");
  pw_prose_add_link(prose, "P1", "piece-P1");
  pw_prose_add(prose, PW_VOICE_PLAIN, " is laid back. ");
  pw_prose_add(prose, PW_VOICE_STRONG, "One piece is open. ");
  pw_prose_add(prose, PW_VOICE_ASIDE, "interpretation: pulled from the shelf by its headcap. ");
  pw_prose_add(prose, PW_VOICE_SOFT, "not recorded. ");
  pw_prose_add_link(prose, "nowhere", "no such place");
  pw_doc_say(doc, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, hostile);
  pw_doc_say(doc, PW_PARAGRAPH_CAUTION, PW_VOICE_PLAIN,
             "Caution: red rot leaves powder on hands. Follow local rules.");
  PwBlock *facts = pw_doc_facts(doc);
  pw_prose_add(pw_facts_add(facts, "Title"), PW_VOICE_PLAIN, "Pilots' Register");
  pw_prose_add(pw_facts_add(facts, "Binding"), PW_VOICE_PLAIN,
               "half leather: goat over spine and corners, cloth sides, printed paper labels");
  pw_prose_add(pw_facts_add(facts, "Date"), PW_VOICE_SOFT, "not recorded");
  pw_doc_heading(doc, 2, "What is asked", NULL);
  PwBlock *list = pw_doc_list(doc, TRUE);
  pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, "to agree to the treatment,");
  pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, "to agree to what is discarded.\nIt is kept.");
  list = pw_doc_list(doc, FALSE);
  pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, "Store flat.");
}

static void
add_table(PwDoc *doc)
{
  static const PwColumn columns[] = {
      {"Piece", PW_COLUMN_NARROW, 0},  {"What", PW_COLUMN_WORDS, 2},
      {"Kept", PW_COLUMN_WORDS, 1},    {"Outcome", PW_COLUMN_WORDS, 1},
      {"Count", PW_COLUMN_FIGURES, 0},
  };
  static const char *const rows[][5] = {
      {"P3", "flakes of leather from the headcap", "envelope 4", "no outcome", "5"},
      {"P1", "spine leather, in two pieces", "tray 2", "reattached", "2"},
      {"P2", "endband at the head", "envelope 2", "reattached", "1"},
      {"", "together", "", "", "8"},
  };
  pw_doc_heading(doc, 1, "The ledger of pieces", "ledger");
  PwBlock *table = pw_doc_table(doc, "Pieces that came off", columns, G_N_ELEMENTS(columns));
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    PwRow *row = pw_table_row(table);
    for (gsize k = 0; k < 5; k++)
      if (*rows[i][k] != '\0')
        pw_prose_add(pw_row_cell(row, k), PW_VOICE_PLAIN, rows[i][k]);
    row->is_open = i == 0;
    row->is_sum = i == 3;
    row->anchor = i == 1 ? g_strdup("piece-P1") : NULL;
  }
  PwBlock *sign = pw_doc_sign(doc);
  pw_sign_line(sign, "Place and date");
  pw_sign_line(sign, "For the owner");
  pw_sign_line(sign, "For the studio");
}

static void
add_drawing(PwDoc *doc, const PwStyle *style)
{
  PwInk ink = pw_style_ink(style, "ink"), casing = pw_style_ink(style, "casing");
  PwDrawing *drawing = pw_drawing_new(182, 30, "A box and a line");
  pw_drawing_say(drawing, "A box, crossed by a line.");
  pw_drawing_box(drawing, 40, 5, 120, 15, casing, 0.12, ink);
  pw_drawing_line(drawing, 0, 10, 182, 10, 0.36, ink);
  pw_drawing_words(drawing, 0, 25, 0, ink, "a box")->anchor = g_strdup("ledger");
  pw_doc_drawing(doc, drawing, "Figure: what a drawing is made of");
}

static void
add_charts(PwDoc *doc, const PwModel *model, const PwReportOptions *options)
{
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(model, options->audience);
  g_autoptr(GPtrArray) charts = pw_charts_new(summary, options);
  pw_doc_heading(doc, 1, "Condition", "condition");
  PwDrawing *faces = pw_faces_new(model, summary, options);
  if (faces != NULL)
    pw_doc_drawing(doc, faces, "Damage, face by face");
  while (charts->len > 0)
    pw_doc_drawing(doc, g_ptr_array_steal_index(charts, 0), "Condition by part");
}

static PwDoc *
new_doc(const PwModel *model, const PwReportOptions *options)
{
  PwDoc *doc =
      pw_doc_new("Treatment report", pw_words_peek_language(options->words), options->audience);
  doc->subject = g_strdup("Pilots' Register of Soundings and Marks, No. 3, 1887-1899");
  doc->foot = g_strdup("PSR-1887-03 · Treatment report");
  add_words(doc);
  add_table(doc);
  add_drawing(doc, options->style);
  add_charts(doc, model, options);
  pw_doc_heading(doc, 1, "Plates", "plates");
  for (gsize i = 0; i < pw_model_n_plates(model); i++)
    pw_doc_plate(doc, pw_model_peek_plate(model, i));
  return doc;
}

static gboolean
write_file(const PwModel *model, const PwReportOptions *options, const char *path, GError **error)
{
  g_autoptr(PwDoc) doc = new_doc(model, options);
  g_autoptr(GBytes) html = pw_set_html(model, doc, options, error);
  gsize length = 0;
  const char *data = html != NULL ? g_bytes_get_data(html, &length) : NULL;
  return data != NULL && pw_file_write_whole(path, data, length, NULL, error);
}

int
main(int argc, char **argv)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwReportOptions options = {.kind = PW_REPORT_TREATMENT};
  PwModelOptions open = {.headers = TRUE};
  if (argc != 5 || !pw_audience_parse(argv[2], &options.audience)) {
    fprintf(stderr, "show-html FOLDER WHOM LANGUAGE FILE\n");
    return 2;
  }
  gboolean done = FALSE;
  if (pw_photo_startup(&error)) {
    g_autoptr(PwStyle) style = pw_style_read("plate", complaints, &error);
    g_autoptr(PwWords) words = style ? pw_words_read(argv[3], complaints, &error) : NULL;
    PwModel *model = words ? pw_model_open(argv[1], &open, complaints, &error) : NULL;
    options.style = style;
    options.words = words;
    done = model != NULL && write_file(model, &options, argv[4], &error);
    pw_model_free(model);
    pw_photo_shutdown();
  }
  if (!done)
    fprintf(stderr, "show-html: %s\n", error != NULL ? error->message : "the style has errors");
  return done ? 0 : 1;
}
