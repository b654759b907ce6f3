/* The volume unfolded. */
#include "unfolded.h"

/* Lengths in mm. */
#define MOST_WIDE 118.0
#define MOST_HIGH 67.0
#define GAP 2.5 /* between faces */
/* A volume whose size is not recorded: height, width, thickness. */
static const double usual_mm[3] = {300, 210, 40};

PwFaceKind
pw_face_kind(const char *view)
{
  static const char *const views[] = {"back board", "spine", "front board",
                                      "fore edge",  "head",  "tail"};
  for (gsize i = 0; i < G_N_ELEMENTS(views); i++)
    if (g_strcmp0(view, views[i]) == 0)
      return (PwFaceKind)i;
  return PW_FACE_NONE;
}

void
pw_unfolded_init(PwUnfolded *unfolded, const PwVolume *volume)
{
  unfolded->is_true = TRUE;
  for (int i = 0; i < 3; i++)
    unfolded->is_true = unfolded->is_true && volume != NULL && volume->size_mm[i] > 0;
  const double *size = unfolded->is_true ? volume->size_mm : usual_mm;
  for (int i = 0; i < 3; i++)
    unfolded->size_mm[i] = size[i];
  double wide = 2 * size[1] + 2 * size[2], high = size[0] + 2 * size[2];
  unfolded->scale = MIN((MOST_WIDE - 3 * GAP) / wide, (MOST_HIGH - 2 * GAP) / high);
}

PwFacePlace
pw_unfolded_place(const PwUnfolded *unfolded, PwFaceKind kind)
{
  double high = unfolded->size_mm[0] * unfolded->scale;
  double wide = unfolded->size_mm[1] * unfolded->scale;
  double thick = unfolded->size_mm[2] * unfolded->scale;
  double spine_x = wide + GAP, front_x = spine_x + thick + GAP, fore_x = front_x + wide + GAP;
  double y = thick + GAP;
  const PwFacePlace places[] = {
      [PW_FACE_BACK] = {0, y, wide, high},
      [PW_FACE_SPINE] = {spine_x, y, thick, high},
      [PW_FACE_FRONT] = {front_x, y, wide, high},
      [PW_FACE_FORE_EDGE] = {fore_x, y, thick, high},
      [PW_FACE_HEAD] = {front_x, 0, wide, thick},
      [PW_FACE_TAIL] = {front_x, y + high + GAP, wide, thick},
  };
  g_assert(kind < PW_FACE_NONE);
  return places[kind];
}
