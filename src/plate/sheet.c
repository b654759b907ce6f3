/* The life of a sheet. */
#include "sheet.h"

#include <math.h>

static void
words_free(PwSaid *words)
{
  g_free(words->text);
  g_free(words);
}

static void
callout_free(PwCallout *callout)
{
  g_free(callout->id);
  g_free(callout->caution);
  g_ptr_array_unref(callout->words);
  g_free(callout);
}

PwSheet *
pw_sheet_new(const PwWords *words)
{
  PwSheet *sheet = g_new0(PwSheet, 1);
  sheet->words = words;
  sheet->callouts = g_ptr_array_new_with_free_func((GDestroyNotify)callout_free);
  for (guint i = 0; i < PW_MOST_PICTURES; i++) {
    sheet->pictures[i].mm_per_px = (double)NAN;
    sheet->pictures[i].marks = g_array_new(FALSE, FALSE, sizeof(PwSheetMark));
  }
  return sheet;
}

static void
picture_clear(PwSheetPicture *picture)
{
  g_free(picture->label);
  g_free(picture->when);
  g_free(picture->file);
  g_free(picture->camera);
  g_free(picture->scale);
  g_array_unref(picture->marks);
}

void
pw_sheet_free(PwSheet *sheet)
{
  if (sheet == NULL)
    return;
  g_free(sheet->title);
  g_free(sheet->subtitle);
  g_free(sheet->place);
  g_free(sheet->identity);
  g_free(sheet->pixels);
  g_free(sheet->scale);
  for (guint i = 0; i < PW_MOST_PICTURES; i++)
    picture_clear(&sheet->pictures[i]);
  g_ptr_array_unref(sheet->callouts);
  g_clear_pointer(&sheet->carried, g_ptr_array_unref);
  g_free(sheet);
}

guint
pw_sheet_n_photographs(const PwSheet *sheet)
{
  guint n = sheet->n_pictures;
  return n > 0 && sheet->pictures[n - 1].differs_from != NULL ? n - 1 : n;
}

static const PwSheetMark *
peek_mark(const PwSheet *sheet, const PwCallout *callout, int mark)
{
  return mark < 0 ? NULL
                  : &g_array_index(sheet->pictures[callout->picture].marks, PwSheetMark, mark);
}

const PwSheetMark *
pw_callout_peek_mark(const PwSheet *sheet, const PwCallout *callout)
{
  return peek_mark(sheet, callout, callout->mark);
}

const PwSheetMark *
pw_callout_peek_earlier(const PwSheet *sheet, const PwCallout *callout)
{
  return peek_mark(sheet, callout, callout->earlier);
}

PwCallout *
pw_sheet_add_callout(PwSheet *sheet, guint picture, guint number)
{
  PwCallout *callout = g_new0(PwCallout, 1);
  callout->picture = picture;
  callout->mark = callout->earlier = -1;
  callout->number = number;
  callout->words = g_ptr_array_new_with_free_func((GDestroyNotify)words_free);
  g_ptr_array_add(sheet->callouts, callout);
  return callout;
}

void
pw_callout_take_words(PwCallout *callout, PwRole role, char *text)
{
  if (text == NULL || *text == '\0') {
    g_free(text);
    return;
  }
  PwSaid *words = g_new(PwSaid, 1);
  *words = (PwSaid){role, text};
  g_ptr_array_add(callout->words, words);
}
