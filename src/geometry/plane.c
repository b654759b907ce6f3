/* The plain pixel plane that modules hand to one another. */
#include <platewright/geometry.h>

void
pw_plane_clear(PwPlane *plane)
{
  g_free(plane->pixels);
  *plane = (PwPlane){0};
}
