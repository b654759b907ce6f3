/* The condition drawn: where on the volume, and how much of each damage. */
#include "chart.h"
#include "faces.h"
#include "parts.h"

static void
add_heading(PwWriter *w, gboolean *begun)
{
  if (!*begun)
    pw_writer_heading(w, 1, "charts");
  *begun = TRUE;
}

void
pw_part_charts(PwWriter *w)
{
  gboolean begun = FALSE;
  PwDrawing *faces = pw_faces_new(w->model, w->summary, w->options);
  if (faces != NULL) {
    add_heading(w, &begun);
    pw_doc_drawing(w->doc, faces, NULL);
  }
  g_autoptr(GPtrArray) charts = pw_charts_new(w->summary, w->options);
  while (charts->len > 0) {
    add_heading(w, &begun);
    pw_doc_drawing(w->doc, g_ptr_array_steal_index(charts, 0), NULL);
  }
}
