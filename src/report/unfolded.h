/* Where the faces of a volume lie that is drawn as if unfolded, its outside up: back board, spine,
 * front board, beside it the fore edge, head and tail above and below the front board. In mm of
 * paper, y down, from the corner of the whole. */
#ifndef PW_REPORT_UNFOLDED_H
#define PW_REPORT_UNFOLDED_H

#include <platewright/record.h>

typedef enum {
  PW_FACE_BACK, PW_FACE_SPINE, PW_FACE_FRONT, PW_FACE_FORE_EDGE, PW_FACE_HEAD, PW_FACE_TAIL,
  PW_FACE_NONE /* an opening, a detail: no face of a volume */
} PwFaceKind;

typedef struct {
  double x, y, width, height;
} PwFacePlace;

typedef struct {
  double size_mm[3]; /* of the volume: height, width, thickness */
  gboolean is_true;  /* recorded, not as a volume usually is */
  double scale;      /* mm on paper for one of it */
} PwUnfolded;

PwFaceKind pw_face_kind(const char *view);
/* As large as the room of a page takes; the volume may be NULL. */
void pw_unfolded_init(PwUnfolded *unfolded, const PwVolume *volume);
/* Not of PW_FACE_NONE. */
PwFacePlace pw_unfolded_place(const PwUnfolded *unfolded, PwFaceKind kind);

#endif
