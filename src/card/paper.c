/* The paper that cards are printed on: a title, notes, as many copies as fit with marks to cut
 * along, and for cards too small to bear them the two check lines beside. Lengths in mm from the
 * upper left corner of the paper.
 */
#include "ink.h"

/* The day of the design: a document's date never comes from the clock. */
static const char DATE[] = "2026-11-25";
static const double MARGIN = 13, COLUMN_GAP = 6, FOOT = 10;
static const double TITLE_BASELINE = 13.5, HEADS_BASELINE = 20.5, NOTES_TOP = 21.8;
static const double CARD_GAP = 4; /* between copies */
/* Nothing nearer to the paper's side: what printers at home leave white. */
static const double PRINTERS_MARGIN = 6;
enum { N_NOTES = 4, MOST_LINES = 5 };

typedef struct {
  const char *head, *words;
  const char *text[MOST_LINES]; /* what is written down, as it is written; NULL: nothing */
} Note;

typedef struct {
  const char *title;
  double cards_top; /* below title and notes */
  Note notes[N_NOTES];
} Header;

static const Header CARDS = {
    .title = "Reference cards, ",
    .cards_top = 53,
    .notes = {
        {.head = "Print",
         .words =
             "on matt paper, at 100 %; do not let the printer fit it to the page. Cut from mark "
             "to mark with a knife along a steel rule. Keep it flat, on stiff board if you "
             "like: a bent card measures wrong."},
        {.head = "Measure",
         .words =
             "with a good rule the two lines that say “measure me”, from the middle of one end "
             "stroke to the middle of the other: along the level one, across the upright one. "
             "A printer may stretch one way more than the other."},
        {.head = "Write down",
         .words = "in volume.yaml, in mm, and by how much your reading may be off:",
         .text = {"cards:", "    bench: {design: %s,", "        check-along: 99.7,",
                  "        check-across: 99.9,", "        tolerance: 0.2}"}},
        {.head = "Lay it",
         .words =
             "level with the surface you measure, the arrow the way the light falls. The greys "
             "are as your printer made them: they tell whether the light is even, and before "
             "from after. A true neutral needs greys-lab or a neutral: outline."},
    }};

static const Header SHEET = {
    .title = "Reference ",
    .cards_top = 43.5,
    .notes = {
        {.head = "Print",
         .words = "on matt paper, at 100 %; do not let the printer fit it to the page. Leave "
                  "it whole and fix it to a flat board, without bubbles or folds."},
        {.head = "Set the camera",
         .words = "as at your bench: focal length, distance and focus, the same for every "
                  "picture. The two check lines only tell whether the page was printed at 100 %."},
        {.head = "Photograph",
         .words = "six times or more, filling the frame into its corners: from straight above, "
                  "then tilted towards each side by 20 to 40 degrees, then turned by a quarter."},
        {.head = "Find the lens",
         .words = "The pictures in a folder of their own, as the camera made them, then:",
         .text = {"platewright lens FOLDER"}},
    }};

/* What goes where on a paper. */
typedef struct {
  double paper_width, paper_height;
  PwCardSize size;
  const Header *header;
  int columns, rows;
  double x, y, width, height; /* of all copies together */
} Page;

/* ---- Title and notes --------------------------------------------------------------- */

static void
draw_note(PwPdf *pdf, cairo_t *cr, const Note *note, const char *design, double x, double width)
{
  const double text_leading = 2.9, text_gap = 1.2;
  PwFace head = {.family = "Gentium Plus", .size_pt = 9.5, .italic = TRUE};
  PwFace face = {.family = "Gentium Plus", .size_pt = 7.6, .leading_pt = 10};
  PwFace written = {.family = "Lato", .size_pt = 6.6};
  pw_card_words(pdf, cr, &head, note->head, (PwMm){x, HEADS_BASELINE}, 0);
  g_autoptr(PwText) words = pw_text_new(pdf, &face, note->words, width);
  pw_text_draw_on(words, cr, x, NOTES_TOP + pw_text_first_baseline(words), 0);
  double y = NOTES_TOP + pw_text_height(words) + text_gap;
  for (int i = 0; i < MOST_LINES && note->text[i]; i++) {
    g_autoptr(GString) line = g_string_new(note->text[i]);
    g_string_replace(line, "%s", design, 0);
    pw_card_words(pdf, cr, &written, line->str, (PwMm){x, y + (i + 0.7) * text_leading}, 0);
  }
}

static char *
dup_title(const Page *page)
{
  return g_strconcat(page->header->title, pw_card_design(page->size)->name, NULL);
}

static void
draw_header(PwPdf *pdf, cairo_t *cr, const Page *page)
{
  PwFace face = {.family = "Gentium Plus", .size_pt = 17};
  const char *design = pw_card_design(page->size)->name;
  double width = (page->paper_width - 2 * MARGIN - (N_NOTES - 1) * COLUMN_GAP) / N_NOTES;
  g_autofree char *title = dup_title(page);
  pw_card_words(pdf, cr, &face, title, (PwMm){MARGIN, TITLE_BASELINE}, 0);
  for (int i = 0; i < N_NOTES; i++)
    draw_note(pdf, cr, &page->header->notes[i], design, MARGIN + i * (width + COLUMN_GAP), width);
}

/* ---- Copies ------------------------------------------------------------------------ */

static PwMm
copy_place(const Page *page, int copy)
{
  const PwCardDesign *design = pw_card_design(page->size);
  return (PwMm){page->x + (copy % page->columns) * (design->width_mm + CARD_GAP),
                page->y + (copy / page->columns) * (design->height_mm + CARD_GAP)};
}

static void
draw_copies(PwPdf *pdf, cairo_t *cr, const Page *page)
{
  for (int copy = 0; copy < page->columns * page->rows; copy++) {
    PwMm at = copy_place(page, copy);
    cairo_save(cr);
    cairo_translate(cr, at.x, at.y);
    pw_card_draw(pdf, cr, page->size, copy);
    cairo_restore(cr);
  }
}

/* Marks outside all copies, in line with every edge; none touches a card. */
static void
draw_cutting_marks(cairo_t *cr, const Page *page)
{
  const double from = 1.2, to = 4.7, width = 0.12;
  const PwCardDesign *design = pw_card_design(page->size);
  double right = page->x + page->width, bottom = page->y + page->height;
  for (int i = 0; i < 2 * page->columns; i++) {
    double x = copy_place(page, i / 2).x + (i % 2) * design->width_mm;
    pw_card_line(cr, (PwMm){x, page->y - to}, (PwMm){x, page->y - from}, width);
    pw_card_line(cr, (PwMm){x, bottom + from}, (PwMm){x, bottom + to}, width);
  }
  for (int i = 0; i < 2 * page->rows; i++) {
    double y = copy_place(page, i / 2 * page->columns).y + (i % 2) * design->height_mm;
    pw_card_line(cr, (PwMm){page->x - to, y}, (PwMm){page->x - from, y}, width);
    pw_card_line(cr, (PwMm){right + from, y}, (PwMm){right + to, y}, width);
  }
}

/* Beside the title, and right of the copies. */
static void
draw_check_lines(PwPdf *pdf, cairo_t *cr, const Page *page)
{
  const double title_middle = 1.6, clear = 7;
  double right = page->paper_width - MARGIN;
  double x = MAX(page->x + page->width + clear, right);
  pw_card_check_line(pdf, cr, (PwMm){right - PW_CARD_CHECK_MM, TITLE_BASELINE - title_middle},
                     FALSE);
  pw_card_check_line(pdf, cr, (PwMm){x, page->y + (page->height - PW_CARD_CHECK_MM) / 2}, TRUE);
}

static void
draw_page(PwPdf *pdf, const Page *page)
{
  cairo_t *cr = pw_pdf_begin_page(pdf, page->paper_width, page->paper_height);
  draw_copies(pdf, cr, page);
  draw_header(pdf, cr, page);
  if (page->size != PW_CARD_SHEET)
    draw_cutting_marks(cr, page);
  if (page->size != PW_CARD_A6)
    draw_check_lines(pdf, cr, page);
}

/* As many columns and rows as fit, no more copies than there are; all of them in the middle. */
static gboolean
lay_out(Page *page, GError **error)
{
  const PwCardDesign *design = pw_card_design(page->size);
  double top = page->header->cards_top;
  double wide = page->paper_width - 2 * PRINTERS_MARGIN, high = page->paper_height - top - FOOT;
  page->columns = (int)((wide + CARD_GAP) / (design->width_mm + CARD_GAP));
  page->rows = (int)((high + CARD_GAP) / (design->height_mm + CARD_GAP));
  if (page->columns < 1 || page->rows < 1) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "a card %s does not fit on paper of %.0f x %.0f mm",
                design->name, page->paper_width, page->paper_height);
    return FALSE;
  }
  page->columns = MIN(page->columns, design->n_copies);
  page->rows = MIN(page->rows, design->n_copies / page->columns);
  page->width = page->columns * (design->width_mm + CARD_GAP) - CARD_GAP;
  page->height = page->rows * (design->height_mm + CARD_GAP) - CARD_GAP;
  page->x = (page->paper_width - page->width) / 2;
  page->y = top + (high - page->height) / 2;
  return TRUE;
}

GBytes *
pw_card_make_pdf(PwCardSize size, double paper_width_mm, double paper_height_mm, GError **error)
{
  Page page = {.paper_width = paper_width_mm,
               .paper_height = paper_height_mm,
               .size = size,
               .header = size == PW_CARD_SHEET ? &SHEET : &CARDS};
  if (!lay_out(&page, error))
    return NULL;
  g_autofree char *title = dup_title(&page);
  PwPdfInfo info = {.title = title, .language = "en", .date = DATE};
  g_autoptr(PwPdf) pdf = pw_pdf_new(&info, error);
  if (pdf == NULL)
    return NULL;
  draw_page(pdf, &page);
  gboolean archival = FALSE;
  g_autofree char *why = NULL;
  g_autoptr(GBytes) bytes = pw_pdf_finish(pdf, &archival, &why, error);
  if (bytes == NULL || archival)
    return g_steal_pointer(&bytes);
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "the card cannot be made as PDF/A: %s", why);
  return NULL;
}
