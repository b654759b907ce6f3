/* The plates of this document. */
#include "parts.h"

void
pw_part_plates(PwWriter *w)
{
  if (w->plates->len == 0)
    return;
  pw_writer_heading(w, 1, "plates");
  for (guint i = 0; i < w->plates->len; i++)
    pw_doc_plate(w->doc, &g_array_index(w->plates, PwModelPlate, i));
}
