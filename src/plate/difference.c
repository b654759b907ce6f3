/* Difference: how far colours before and after are apart, as a picture with a key of its own. */
#include "difference.h"

#include <math.h>
#include <string.h>

/* Where a step ends, in CIEDE2000. What was not treated stays under the first on the photographs of
 * one camera, lamp and setting; each further one is twice the last. */
static const double ends[PW_DIFFERENCE_STEPS - 1] = {3, 6, 12, 24};

double
pw_difference_end(guint step)
{
  return step < G_N_ELEMENTS(ends) ? ends[step] : (double)INFINITY;
}

PwInk
pw_difference_ink(const PwStyle *style, guint step)
{
  static const char *const names[PW_DIFFERENCE_STEPS] = {
      "difference-1", "difference-2", "difference-3", "difference-4", "difference-5"};
  return pw_style_ink(style, names[step]);
}

/* ---- On the sheet -------------------------------------------------------------------- */

static const char *
peek_refusal(const PwWords *words, PwColours colours)
{
  static const char *const keys[] = {
      [PW_COLOURS_LIGHT_UNSAID] = "difference-light-unsaid",
      [PW_COLOURS_LIGHT_OTHER] = "difference-light-other",
      [PW_COLOURS_LAMPS] = "difference-lamps",
      [PW_COLOURS_CURVED] = "difference-curved",
      [PW_COLOURS_NOT_LAID] = "difference-not-laid",
  };
  return pw_words_peek(words, keys[colours]);
}

/* How it was reckoned, and of what. */
static char *
dup_how(const PwSheet *sheet, const PwLay *lay)
{
  gboolean face = lay->before->source->sidecar->surface.n > 0;
  gboolean marked = lay->before->marks->len > 0 || lay->after->marks->len > 0;
  const char *where = face ? "difference-face" : marked ? "difference-marks" : "difference-all";
  return g_strconcat(pw_words_peek(sheet->words, "difference-how"), " ",
                     pw_words_peek(sheet->words, where), NULL);
}

char *
pw_difference_add(PwSheet *sheet, const PwLay *lay)
{
  if (lay->before == NULL || lay->after == NULL)
    return NULL;
  PwColours colours =
      lay->laid ? pw_colours_of(lay->before->source, lay->after->source) : PW_COLOURS_NOT_LAID;
  if (colours != PW_COLOURS_COMPARE)
    return g_strdup(peek_refusal(sheet->words, colours));
  PwSheetPicture *picture = &sheet->pictures[sheet->n_pictures++];
  GArray *no_marks = picture->marks;
  *picture = (PwSheetPicture){.source = lay->after->source,
                              .width_px = lay->after->width_px,
                              .height_px = lay->after->height_px,
                              .crop_x = lay->after->crop_x,
                              .crop_y = lay->after->crop_y,
                              .crop_width = lay->after->crop_width,
                              .crop_height = lay->after->crop_height,
                              .mm_per_px = lay->after->mm_per_px,
                              .laid = TRUE,
                              .to_frame = lay->after->to_frame,
                              .differs_from = lay->before->source,
                              .label = g_strdup(pw_words_peek(sheet->words, "difference")),
                              .when = g_strdup(pw_words_peek(sheet->words, "difference-when")),
                              .marks = no_marks};
  return dup_how(sheet, lay);
}

/* ---- Its pixels ---------------------------------------------------------------------- */

static guint
step_of(guint8 level)
{
  guint step = 0;
  while (level >= pw_difference_end(step) * PW_DIFFERENCE_LEVELS)
    step++;
  return step;
}

static guint8
sample_of(double part)
{
  return (guint8)(CLAMP(part, 0, 1) * 255 + 0.5);
}

static void
make_colours(const PwStyle *style, guint8 colours[256][3])
{
  memset(colours[PW_DIFFERENCE_NONE], 255, 3);
  for (guint level = 0; level < PW_DIFFERENCE_NONE; level++) {
    PwInk ink = pw_difference_ink(style, step_of((guint8)level));
    colours[level][0] = sample_of(ink.r);
    colours[level][1] = sample_of(ink.g);
    colours[level][2] = sample_of(ink.b);
  }
}

void
pw_difference_paint(const PwPlane *levels, const PwStyle *style, PwPlane *picture)
{
  guint8 colours[256][3];
  gsize stride = 3 * (gsize)levels->width;
  make_colours(style, colours);
  *picture =
      (PwPlane){g_malloc(stride * (gsize)levels->height), levels->width, levels->height, 3, stride};
  for (int y = 0; y < levels->height; y++)
    for (int x = 0; x < levels->width; x++)
      memcpy(picture->pixels + (gsize)y * stride + 3 * (gsize)x,
             colours[levels->pixels[(gsize)y * levels->stride + (gsize)x]], 3);
}
