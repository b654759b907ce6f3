/* Tags in a picture, whoever printed them. Private to card. */
#ifndef PW_CARD_SEE_H
#define PW_CARD_SEE_H

#include <platewright/card.h>

typedef struct {
  PwTag tag;
  gboolean mirrored; /* seen from behind or in a mirror; then the corners' order means nothing */
} PwSeenTag;

typedef struct {
  int decimation;  /* squares are sought in every so manyth pixel of every so manyth row */
  gboolean refine; /* edges moved to where the full picture is steepest */
  gboolean faint;  /* smoothed against noise and sought with less contrast; small tags are lost */
} PwTagWay;

/* Adds the tags (family tag36h11) of a grey plane to `tags`, an array of PwSeenTag. One that is in
 * it already, of the same id at the same place, is not added again. The plane has at least
 * PW_TAG_SIDE_MIN pixels each way and its stride fits an int. */
void pw_tags_see(const PwPlane *grey, const PwTagWay *way, GArray *tags);
enum { PW_TAG_SIDE_MIN = 16 };

/* The mean length of a tag's edges. */
double pw_tag_edge_px(const PwTag *tag);

#endif
