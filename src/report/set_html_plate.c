/* A plate on a screen: its pictures with the marks over them, the words of the marks beside, what
 * was done to the pixels below. Two stages are laid over one another and compared by a slider,
 * which the script adds; without it they stand one below the other. */
#include "set_html_private.h"

#include <math.h>

/* The longer side of a picture, and of the small one that shows where an enlargement lies: sharp on
 * a screen of twice the usual density. */
#define LONGEST_PX 1400
#define LOCATOR_PX 480
/* A scale bar takes at most this share of its picture's width. */
#define BAR_SHARE 0.4

/* ---- Rules of style, for what depends on the pictures ------------------------------------------
 */

static gboolean
is_pair(const PwSheet *sheet)
{
  return sheet->n_pictures == 2;
}

/* Two pictures of one thing are laid over one another at one scale where both have one, middle on
 * middle: so a picture that was laid in the frame of the other, which shares scale and crop, lies
 * over it exactly. Else as wide as each other. */
static void
add_lay(PwHtml *html, const PwHtmlPlate *plate)
{
  const PwSheetPicture *under = &plate->sheet->pictures[0], *over = &plate->sheet->pictures[1];
  gboolean scaled = under->mm_per_px > 0 && over->mm_per_px > 0;
  double to_mm = scaled ? under->mm_per_px : 1, over_mm = scaled ? over->mm_per_px : 1;
  double wide = under->crop_width * to_mm, high = under->crop_height * to_mm;
  double over_wide = scaled ? over->crop_width * over_mm : wide;
  double over_high = over_wide * over->crop_height / over->crop_width;
  g_autofree char *width = pw_markup_dup_number(100 * over_wide / wide);
  g_autofree char *left = pw_markup_dup_number(50 * (wide - over_wide) / wide);
  g_autofree char *top = pw_markup_dup_number(50 * (high - over_high) / high);
  g_string_append_printf(html->rules,
                         "#plate-%u .compared .picture:nth-of-type(2) .lay"
                         "{width:%s%%;left:%s%%;top:%s%%}\n",
                         plate->number, width, left, top);
}

/* How wide a picture is for its height, so that all of it fits a screen. */
static void
add_ratios(PwHtml *html, const PwHtmlPlate *plate)
{
  for (guint i = 0; i < plate->sheet->n_pictures; i++) {
    const PwSheetPicture *picture = &plate->sheet->pictures[i];
    g_autofree char *ratio = pw_markup_dup_number(picture->crop_width / picture->crop_height);
    g_string_append_printf(html->rules, "#plate-%u .picture:nth-of-type(%u){--r:%s}\n",
                           plate->number, i + 1, ratio);
    if (i == 0)
      g_string_append_printf(html->rules, "#plate-%u{--r:%s}\n", plate->number, ratio);
  }
}

/* ---- What is shown -----------------------------------------------------------------------------
 */

static void
ask_for_pictures(PwHtml *html, PwHtmlPlate *plate)
{
  const PwSheet *sheet = plate->sheet;
  for (guint i = 0; i < sheet->n_pictures; i++)
    plate->pictures[i] = pw_html_pictures_add(html->pictures, &sheet->pictures[i], LONGEST_PX);
  const PwSheetPicture *first = &sheet->pictures[0];
  PwSheetPicture whole = {
      .source = first->source, .crop_width = first->width_px, .crop_height = first->height_px};
  if (sheet->locator)
    plate->pictures[sheet->n_pictures] = pw_html_pictures_add(html->pictures, &whole, LOCATOR_PX);
}

static void
gather_plate(PwHtml *html, PwHtmlPlate *plate)
{
  g_ptr_array_add(html->plates, plate);
  if (plate->sheet == NULL)
    return;
  add_ratios(html, plate);
  if (is_pair(plate->sheet))
    add_lay(html, plate);
  ask_for_pictures(html, plate);
}

void
pw_html_gather_plates(PwHtml *html)
{
  PwPlateOptions options = {
      .words = html->options->words,
      .style = html->options->style,
      .audience = html->options->audience,
      .for_screen = TRUE,
  };
  g_autoptr(GPtrArray) blocks = g_ptr_array_new(), plates = g_ptr_array_new();
  for (guint i = 0; i < html->doc->blocks->len; i++) {
    const PwBlock *block = html->doc->blocks->pdata[i];
    if (block->kind != PW_BLOCK_PLATE)
      continue;
    g_ptr_array_add(blocks, (gpointer)block);
    g_ptr_array_add(plates, (gpointer)block->plate);
  }
  g_autoptr(GPtrArray) sheets = pw_plate_sheets_new(
      html->model, &options, (const PwModelPlate *const *)plates->pdata, plates->len);
  for (guint i = 0; i < blocks->len; i++) {
    PwHtmlPlate *plate = g_new0(PwHtmlPlate, 1);
    plate->number = ((const PwBlock *)blocks->pdata[i])->number;
    plate->sheet = g_steal_pointer(&sheets->pdata[i]);
    gather_plate(html, plate);
  }
}

/* ---- Pictures ----------------------------------------------------------------------------------
 */

static void
put_words(PwHtml *html, const char *class_name, const char *words)
{
  if (words != NULL && *words != '\0')
    pw_markup_element(html->markup, "p", words, "class", class_name, NULL);
}

static void
put_image(PwHtml *html, guint index, const char *alt)
{
  const PwHtmlPicture *picture = pw_html_pictures_peek(html->pictures, index);
  g_autofree char *width = g_strdup_printf("%d", picture->width);
  g_autofree char *height = g_strdup_printf("%d", picture->height);
  pw_markup_void(html->markup, "img", "alt", alt, "width", width, "height", height, "src",
                 picture->data, NULL);
}

/* As long on the screen as so many mm of the object are in the picture above. */
static void
put_bar(PwHtml *html, const PwSheetPicture *picture)
{
  if (!(picture->mm_per_px > 0))
    return;
  double wide_mm = picture->crop_width * picture->mm_per_px;
  double length_mm = pw_plate_bar_length(wide_mm * BAR_SHARE);
  g_autofree char *percent = pw_markup_dup_number(100 * length_mm / wide_mm);
  g_autofree char *width = g_strconcat(percent, "%", NULL);
  g_autofree char *mm = pw_format_double(length_mm);
  g_autofree char *plain = pw_words_dup_number(html->options->words, mm);
  g_autofree char *words =
      pw_words_dup_phrase(html->options->words, "bar-end", "length", plain, NULL);
  pw_markup_open(html->markup, "svg", "class", "bar", "role", "img", "aria-label", words, NULL);
  pw_markup_void(html->markup, "rect", "x", "0", "y", "3", "width", width, "height", "4", NULL);
  pw_markup_element(html->markup, "text", words, "x", width, "y", "10", "dx", "7", NULL);
  pw_markup_close(html->markup);
}

static void
put_caption(PwHtml *html, const PwSheetPicture *picture)
{
  pw_markup_open(html->markup, "div", "class", "caption", NULL);
  put_bar(html, picture);
  put_words(html, "stage", picture->label);
  put_words(html, NULL, picture->when);
  put_words(html, "file", picture->file);
  put_words(html, "file", picture->camera);
  put_words(html, "file", picture->scale);
  pw_markup_close(html->markup);
}

static void
put_picture(PwHtml *html, const PwHtmlPlate *plate, guint i)
{
  const PwSheetPicture *picture = &plate->sheet->pictures[i];
  g_autofree char *alt = g_strdup_printf("%s: %s", plate->sheet->title, picture->label);
  pw_markup_open(html->markup, "div", "class", "picture", NULL);
  pw_markup_open(html->markup, "div", "class", "picture-frame", NULL);
  pw_markup_open(html->markup, "div", "class", "lay", NULL);
  put_image(html, plate->pictures[i], alt);
  pw_html_marks(html, plate, i);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
  put_caption(html, picture);
  pw_markup_close(html->markup);
}

/* The whole photograph, small, and a frame round what is enlarged. */
static void
put_locator(PwHtml *html, const PwHtmlPlate *plate)
{
  const PwSheet *sheet = plate->sheet;
  if (!sheet->locator)
    return;
  const PwSheetPicture *p = &sheet->pictures[0];
  const double at[4] = {p->crop_x / p->width_px, p->crop_y / p->height_px,
                        p->crop_width / p->width_px, p->crop_height / p->height_px};
  static const char *const classes[] = {"frame casing", "frame"};
  char *percent[4];
  for (guint i = 0; i < 4; i++) {
    g_autofree char *number = pw_markup_dup_number(100 * at[i]);
    percent[i] = g_strconcat(number, "%", NULL);
  }
  pw_markup_open(html->markup, "div", "class", "locator", NULL);
  pw_markup_open(html->markup, "div", "class", "lay", NULL);
  put_image(html, plate->pictures[sheet->n_pictures], "");
  pw_markup_open(html->markup, "svg", "class", "marks", "aria-hidden", "true", NULL);
  for (guint i = 0; i < G_N_ELEMENTS(classes); i++)
    pw_markup_void(html->markup, "rect", "class", classes[i], "x", percent[0], "y", percent[1],
                   "width", percent[2], "height", percent[3], NULL);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
  put_words(html, "file", pw_html_word(html, "locator"));
  pw_markup_close(html->markup);
  for (guint i = 0; i < 4; i++)
    g_free(percent[i]);
}

/* ---- Before and after --------------------------------------------------------------------------
 */

/* Hidden until the script, without which it does nothing, shows it. */
static void
put_slider(PwHtml *html, const PwHtmlPlate *plate)
{
  const PwSheet *sheet = plate->sheet;
  g_autofree char *id = g_strdup_printf("plate-%u_slider", plate->number);
  g_autofree char *words =
      pw_words_dup_phrase(html->options->words, "html-compare", "left", sheet->pictures[0].label,
                          "right", sheet->pictures[1].label, NULL);
  pw_markup_open(html->markup, "p", "class", "slider", "hidden", "", NULL);
  pw_markup_element(html->markup, "label", words, "for", id, NULL);
  pw_markup_void(html->markup, "input", "type", "range", "id", id, "min", "0", "max", "100",
                 "value", "50", NULL);
  pw_markup_close(html->markup);
}

static void
put_pictures(PwHtml *html, const PwHtmlPlate *plate)
{
  const PwSheet *sheet = plate->sheet;
  gboolean compares = is_pair(sheet);
  pw_markup_open(html->markup, "div", "class", compares ? "pictures pair" : "pictures", NULL);
  for (guint i = 0; i < sheet->n_pictures; i++)
    put_picture(html, plate, i);
  put_locator(html, plate);
  if (compares)
    put_slider(html, plate);
  pw_markup_close(html->markup);
}

/* ---- Round the pictures ------------------------------------------------------------------------
 */

/* One level below the part of the document that it stands in. */
static void
put_title(PwHtml *html, const PwHtmlPlate *plate)
{
  static const char *const headings[] = {"h2", "h3", "h4", "h5", "h6"};
  int level = MIN(html->level + 1, 6);
  g_autofree char *n = g_strdup_printf("%u", plate->number);
  g_autofree char *m = g_strdup_printf("%u", html->doc->n_plates);
  g_autofree char *place =
      pw_words_dup_phrase(html->options->words, "plate-number", "n", n, "m", m, NULL);
  pw_markup_open(html->markup, "figcaption", NULL);
  pw_markup_element(html->markup, headings[level - 2], plate->sheet->title, NULL);
  put_words(html, "place", place);
  put_words(html, "subtitle", plate->sheet->subtitle);
  pw_markup_close(html->markup);
}

void
pw_html_plate(PwHtml *html, const PwBlock *block)
{
  const PwHtmlPlate *plate = html->plates->pdata[block->number - 1];
  if (plate->sheet == NULL)
    return;
  g_autofree char *id = pw_html_claim_id(html, block->anchor);
  pw_markup_open(html->markup, "figure", "class", "plate", "id", id, NULL);
  put_title(html, plate);
  gboolean in_row = plate->sheet->n_pictures > 2;
  pw_markup_open(html->markup, "div", "class", in_row ? "spread row" : "spread", NULL);
  put_pictures(html, plate);
  pw_html_callouts(html, plate);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}
