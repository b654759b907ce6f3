#include "made.h"

#include <string.h>

/* ---- Prose ------------------------------------------------------------------------- */

static const char reason[] =
    "The spine leather has lost its strength along both joints and comes away as powder where it "
    "is "
    "touched. The boards hang by the cords alone; the lower one moved freely when the volume was "
    "opened to the title page. Sewing is sound from gathering 1 to 11 and broken in 12 to 14, "
    "where "
    "three leaves stand proud of the fore edge and have frayed.";

static void
say(PwDoc *doc, const char *words)
{
  pw_doc_say(doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, words);
}

static void
fact(PwBlock *facts, const char *label, const char *words)
{
  PwProse *prose = pw_facts_add(facts, label);
  pw_prose_add(prose, words != NULL ? PW_VOICE_PLAIN : PW_VOICE_SOFT,
               words != NULL ? words : "not recorded");
}

static PwRow *
row_of(PwBlock *table, const char *const *words)
{
  PwRow *row = pw_table_row(table);
  for (gsize j = 0; j < table->n_columns; j++)
    if (words[j] != NULL)
      pw_prose_add(pw_row_cell(row, j), PW_VOICE_PLAIN, words[j]);
  return row;
}

/* ---- A usual report ---------------------------------------------------------------- */

static void
add_identity(PwDoc *doc)
{
  pw_doc_heading(doc, 1, "The volume", "identity");
  PwBlock *facts = pw_doc_facts(doc);
  fact(facts, "Number", "SAL-1887-02");
  fact(facts, "Title", "Day book of the salt works at Ostrand, with tides and weather");
  fact(facts, "Maker", "Unknown; the hand of two clerks");
  fact(facts, "Date", "1887\u20131893");
  fact(facts, "Binding",
       "Quarter calf over marbled boards, sewn on four recessed cords, hollow "
       "back; endbands worked in two colours, of which the lower one is a later "
       "replacement");
  fact(facts, "Size and mass", "412 \u00d7 276 \u00d7 61 mm, 5.8 kg");
  fact(facts, "Collation", NULL);
  fact(facts, "What the volume was brought for", "Condition before treatment");
  fact(facts, "Received", "2 March 2026");
}

static void
add_condition(PwDoc *doc)
{
  static const PwColumn columns[] = {{"What", PW_COLUMN_WORDS, 3},
                                     {"Size before", PW_COLUMN_FIGURES, 0},
                                     {"Severity", PW_COLUMN_NARROW, 0},
                                     {"Shown on", PW_COLUMN_NARROW, 0}};
  static const char *const rows[][4] = {
      {"Loss, spine leather", "412 \u00b1 14 mm\u00b2", "strong", NULL},
      {"Red rot, spine leather", "1,860 \u00b1 40 mm\u00b2", "moderate", NULL},
      {"Loose sewing, gatherings 12 to 14", "3 places", "moderate", NULL},
  };
  pw_doc_heading(doc, 1, "Condition", "condition");
  say(doc, reason);
  PwProse *known = pw_doc_paragraph(doc, PW_PARAGRAPH_BODY);
  pw_prose_add(known, PW_VOICE_PLAIN, "The stain across the lower board is ");
  pw_prose_add(known, PW_VOICE_ASIDE, "interpretation: from a wet ring left by a cup");
  pw_prose_add(known, PW_VOICE_PLAIN, ", and ");
  pw_prose_add(known, PW_VOICE_STRONG, "must not be wetted again");
  pw_prose_add(known, PW_VOICE_PLAIN, " before it has been tested; see ");
  pw_prose_add_link(known, "the pieces", "ledger");
  pw_prose_add(known, PW_VOICE_PLAIN, ".");
  pw_doc_heading(doc, 2, "Spine", NULL);
  PwBlock *table = pw_doc_table(doc, NULL, columns, G_N_ELEMENTS(columns));
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    row_of(table, rows[i]);
  pw_doc_heading(doc, 2, "Front board", NULL);
  say(doc, "Corners bumped, the upper one open to the board. Marbled paper rubbed along the fore "
           "edge, without loss of the sheet.");
  pw_doc_heading(doc, 3, "Seen in raking light", NULL);
  say(doc, "A ridge of 84 mm runs parallel to the joint, 31 mm away from it.");
  PwProse *caution = pw_doc_paragraph(doc, PW_PARAGRAPH_CAUTION);
  pw_prose_add(caution, PW_VOICE_STRONG, "Caution. ");
  pw_prose_add(
      caution, PW_VOICE_PLAIN,
      "Red-rotted leather sheds an acid powder: handle it with nitrile gloves, keep it off "
      "clothes and food, and follow local rules; ask a licensed specialist before anything "
      "is done to it.");
}

static PwDrawing *
drawing_new(void)
{
  PwInk dark = {0.11, 0.105, 0.1}, grey = {0.6, 0.59, 0.57}, white = {1, 1, 1};
  PwDrawing *drawing = pw_drawing_new(118, 42, "Losses by part, before and after");
  pw_drawing_say(drawing, "Spine: 412 mm\u00b2 before, 0 after. Front board: 96 before, 12 after.");
  for (int i = 0; i < 4; i++) {
    double y = 4 + 10 * i;
    PwMadeOf *words =
        pw_drawing_words(drawing, 34, y + 3.4, 1, dark, i % 2 == 0 ? "Spine" : "Front board");
    words->is_strong = i % 2 == 0;
    words->anchor = g_strdup("condition");
    pw_drawing_box(drawing, 36, y, 36 + 18 * (4 - i), y + 4, i % 2 == 0 ? grey : white, 0.15, dark);
    pw_drawing_line(drawing, 36 + 18 * (4 - i) - 3, y + 2, 36 + 18 * (4 - i) + 3, y + 2, 0.25,
                    dark);
  }
  pw_drawing_line(drawing, 36, 0, 36, 42, 0.15, dark);
  return drawing;
}

static void
add_treatment(PwDoc *doc)
{
  static const PwColumn columns[] = {{"Date", PW_COLUMN_NARROW, 0},
                                     {"What was done", PW_COLUMN_WORDS, 2},
                                     {"Materials", PW_COLUMN_WORDS, 1},
                                     {"Hours", PW_COLUMN_FIGURES, 0}};
  static const char *const rows[][4] = {
      {"12 March 2026", "Dry cleaned, text block and edges, leaf by leaf", "Polyurethane sponge",
       "3.5"},
      {"13 March 2026", "Lifted the remains of the spine leather and the lining under it",
       "Methyl cellulose, 5 %", "2"},
      {"16 March 2026", "Resewed gatherings 12 to 14 through the old holes", "Linen thread 30/3",
       "4.5"},
      {NULL, "In all", NULL, "10"},
  };
  pw_doc_heading(doc, 1, "Treatment", "treatment");
  pw_doc_drawing(doc, drawing_new(), "Losses by part, before and after treatment, in mm\u00b2.");
  PwBlock *table = pw_doc_table(doc, "What was done, and when", columns, G_N_ELEMENTS(columns));
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    row_of(table, rows[i])->is_sum = i + 1 == G_N_ELEMENTS(rows);
  pw_doc_heading(doc, 2, "Decisions", NULL);
  PwBlock *list = pw_doc_list(doc, TRUE);
  for (int i = 0; i < 3; i++)
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN,
                 i == 1 ? "Kept the later endband, since it is part of what the volume has been "
                          "through and does no harm where it is; it was only tied down again."
                        : "The hollow was not rebuilt.");
  pw_doc_say(doc, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN,
             "Sizes are taken in the plane of the card that lies in the picture; \u00b1 is the "
             "expanded uncertainty, about 95 %. Two photographs are left out: nobody has looked "
             "them through for names and faces.");
}

static void
add_ledger(PwDoc *doc)
{
  static const PwColumn columns[] = {{"Piece", PW_COLUMN_NARROW, 0},
                                     {"What it is", PW_COLUMN_WORDS, 2},
                                     {"Where it is now", PW_COLUMN_WORDS, 1},
                                     {"Outcome", PW_COLUMN_WORDS, 1}};
  static const char *const rows[][4] = {
      {"P4", "Pressed fern, between pages 44 and 45", "envelope 1", "open: no outcome yet"},
      {"P1", "Front board", "on the volume", "reattached, 2 May 2026"},
      {"P3", "Spine lining, acid and crumbled", "none", "discarded, agreed 9 March 2026"},
  };
  pw_doc_heading(doc, 1, "Pieces", "ledger");
  PwBlock *table = pw_doc_table(doc, "Every piece and where it is", columns, 4);
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    PwRow *row = row_of(table, rows[i]);
    row->is_open = i == 0;
    row->anchor = g_strdup_printf("piece-%s", rows[i][0]);
  }
  pw_doc_heading(doc, 1, "Looking after it", "care");
  PwBlock *list = pw_doc_list(doc, FALSE);
  pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, "Store flat, alone on its shelf.");
  pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, "Carry it in its box, on both arms.");
  pw_doc_heading(doc, 1, "Handed over", "handed-over");
  say(doc, "The volume and the pieces named above were handed over, and counted together.");
  PwBlock *sign = pw_doc_sign(doc);
  pw_sign_line(sign, "Place and date");
  pw_sign_line(sign, "For the studio");
  pw_sign_line(sign, "Place and date");
  pw_sign_line(sign, "The owner");
}

PwDoc *
made_usual(void)
{
  PwDoc *doc = pw_doc_new("Treatment report", "en", PW_FOR_OWNER);
  doc->subject = g_strdup("Day book of the salt works at Ostrand");
  doc->foot = g_strdup("SAL-1887-02, treatment report");
  doc->author = g_strdup("Bindery at the Quay");
  doc->date = g_strdup("2026-05-20");
  pw_doc_say(
      doc, PW_PARAGRAPH_LEAD, PW_VOICE_PLAIN,
      "What was found, what was done about it and why, where every piece is now, and how the "
      "volume wants to be looked after.");
  add_identity(doc);
  add_condition(doc);
  add_treatment(doc);
  add_ledger(doc);
  return doc;
}

/* ---- What strains a page ----------------------------------------------------------- */

static char *
dup_long(gsize n_bytes)
{
  GString *words = g_string_new(NULL);
  while (words->len < n_bytes)
    g_string_append_printf(words, "%s ", reason);
  g_string_truncate(words, n_bytes);
  return g_string_free(words, FALSE);
}

static char *
dup_unbroken(gsize n)
{
  GString *word = g_string_new(NULL);
  while (word->len < n)
    g_string_append(word, "Buchbinderwerkzeugmacherlehrling");
  return g_string_free(word, FALSE);
}

static void
add_long_table(PwDoc *doc, guint n)
{
  static const PwColumn columns[] = {{"Piece", PW_COLUMN_NARROW, 0},
                                     {"What it is and where it was found", PW_COLUMN_WORDS, 2},
                                     {"Kept", PW_COLUMN_WORDS, 1},
                                     {"Mass, g", PW_COLUMN_FIGURES, 0}};
  PwBlock *table = pw_doc_table(doc, "Forty pieces", columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i <= n; i++) {
    g_autofree char *piece = g_strdup_printf("P%u", i + 1), *mass = g_strdup_printf("%u.5", 7 * i);
    g_autofree char *what = dup_long(20 + 37 * (i % 6));
    const char *words[] = {i < n ? piece : "All", i < n ? what : NULL, "tray 2", mass};
    PwRow *row = row_of(table, words);
    row->is_open = i % 9 == 4;
    row->is_sum = i == n;
  }
}

/* Two cells of 2,000 characters in narrow columns are longer than a page. */
static void
add_huge_cells(PwDoc *doc)
{
  static const PwColumn columns[] = {{"Date", PW_COLUMN_NARROW, 0},
                                     {"Question", PW_COLUMN_WORDS, 1},
                                     {"Chosen", PW_COLUMN_WORDS, 1},
                                     {"Because", PW_COLUMN_WORDS, 1},
                                     {"Risk", PW_COLUMN_WORDS, 1}};
  g_autofree char *cell = dup_long(2000), *word = dup_unbroken(300);
  PwBlock *table = pw_doc_table(doc, "Cells of 2,000 characters", columns, 5);
  const char *rows[][5] = {{"2 March 2026", "Short", cell, "short", cell},
                           {"3 March 2026", word, "short", cell, "short"},
                           {"4 March 2026", "Short", "Short", "Short", "Short"}};
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    row_of(table, rows[i]);
}

static void
add_many_columns(PwDoc *doc)
{
  PwColumn columns[12];
  for (gsize j = 0; j < G_N_ELEMENTS(columns); j++)
    columns[j] =
        (PwColumn){"Expanded uncertainty", j % 3 == 0 ? PW_COLUMN_NARROW : PW_COLUMN_FIGURES, 0};
  PwBlock *table = pw_doc_table(doc, "More columns than a page has room for", columns, 12);
  const char *words[12];
  for (gsize j = 0; j < G_N_ELEMENTS(words); j++)
    words[j] = "1,860.5 \u00b1 40.5 mm\u00b2";
  for (int i = 0; i < 4; i++)
    row_of(table, words);
}

static void
add_lists(PwDoc *doc)
{
  pw_doc_heading(doc, 1, "Lists of sixty", "lists");
  for (int numbered = 0; numbered < 2; numbered++) {
    pw_doc_heading(doc, 2, numbered ? "Numbered, under a side head of some length" : "Points",
                   NULL);
    PwBlock *list = pw_doc_list(doc, numbered);
    for (guint i = 0; i < 60; i++) {
      g_autofree char *words = dup_long(12 + 61 * (i % 7));
      pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, words);
    }
  }
}

static void
add_sections(PwDoc *doc)
{
  for (guint i = 0; i < 24; i++) {
    g_autofree char *name = g_strdup_printf("Section %u", i + 1),
                    *words = dup_long(90 + 170 * (i % 5));
    pw_doc_heading(doc, 1 + (int)(i % 3), name, NULL);
    if (i % 4 == 3)
      pw_doc_heading(doc, 2, "And one below it", NULL);
    say(doc, words);
    if (i % 5 == 2)
      pw_doc_say(doc, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, words);
  }
}

static void
add_long_facts(PwDoc *doc)
{
  g_autofree char *words = dup_long(5000), *word = dup_unbroken(400), *label = dup_long(2000);
  pw_doc_heading(doc, 2, "Facts", NULL);
  PwBlock *facts = pw_doc_facts(doc);
  fact(facts, "A label of several words that needs more lines than what stands beside it", "Short");
  fact(facts, "Long", words);
  fact(facts, word, word);
  fact(facts, label, "A label of 2,000 characters");
  pw_facts_add(facts, "Nothing beside it");
  PwProse *prose = pw_facts_add(facts, "Arabic");
  pw_prose_add(prose, PW_VOICE_PLAIN,
               "\u0638\u0647\u0631 \u0627\u0644\u0643\u062a\u0627\u0628 \u0645\u0646 "
               "\u0627\u0644\u062c\u0644\u062f, 12 mm");
}

PwDoc *
made_straining(void)
{
  static const PwColumn columns[] = {{"Date", PW_COLUMN_NARROW, 0}, {"What", PW_COLUMN_WORDS, 1}};
  g_autofree char *title = dup_long(200), *word = dup_unbroken(400), *words = dup_long(9000);
  PwDoc *doc = pw_doc_new(title, "en", PW_FOR_STUDIO);
  doc->subject = g_strconcat(reason, " ", word, NULL);
  doc->foot = g_strconcat("SAL-1887-02, ", words, NULL);
  doc->author =
      g_strdup("Bindery at the Quay, for the conservation of ledgers, day books and albums");
  doc->date = g_strdup("2026-05-20");
  pw_doc_say(doc, PW_PARAGRAPH_LEAD, PW_VOICE_PLAIN, word);
  pw_doc_heading(doc, 1, reason, NULL);
  say(doc, words);
  pw_doc_table(doc, "A table of no rows", columns, G_N_ELEMENTS(columns));
  add_long_table(doc, 40);
  add_sections(doc);
  add_huge_cells(doc);
  add_many_columns(doc);
  add_lists(doc);
  add_long_facts(doc);
  pw_doc_break(doc);
  pw_doc_paragraph(doc, PW_PARAGRAPH_BODY);
  pw_doc_list(doc, TRUE);
  pw_doc_say(doc, PW_PARAGRAPH_CAUTION, PW_VOICE_STRONG, words);
  PwBlock *sign = pw_doc_sign(doc);
  for (int i = 0; i < 5; i++)
    pw_sign_line(sign, i == 2 ? reason : "The owner");
  pw_doc_drawing(doc, pw_drawing_new(400, 900, "A drawing larger than the page"), words);
  pw_doc_heading(doc, 1, "A heading with nothing after it", NULL);
  return doc;
}

PwDoc *
made_table(void)
{
  PwDoc *doc = pw_doc_new("Pieces", "en", PW_FOR_STUDIO);
  add_long_table(doc, 40);
  return doc;
}

PwDoc *
made_empty(void)
{
  return pw_doc_new("Summary", "en", PW_FOR_PUBLIC);
}
