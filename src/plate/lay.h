/* Lay: the photograph after treatment laid over the one before, on a sheet that shows both. */
#ifndef PW_PLATE_LAY_H
#define PW_PLATE_LAY_H

#include <platewright/pair.h>
#include <platewright/plate.h>

/* Which two of a sheet's pictures, and how they lie. Zeroed: not both are there. */
typedef struct {
  PwSheetPicture *before, *after;
  PwPair *pair;  /* NULL where a photograph cannot be read */
  gboolean laid; /* `after` is drawn in the px of `before` */
} PwLay;

/* Finds both and lays them, with one scale: that of before, else that of after carried over. Not
 * where a mark that the audience sees would lie outside the picture before. */
void pw_lay_init(PwLay *lay, PwSheet *sheet, const PwModel *model, PwAudience audience);
void pw_lay_clear(PwLay *lay);
/* A run of `n` paths of after as its picture has them: where it is laid, new ones that are the
 * sheet's; else the same. */
const PwPxPath *pw_lay_carry(PwSheet *sheet, const PwSheetPicture *picture, const PwPxPath *paths,
                             gsize n);
/* To what both show, where that is most of it and cuts through no mark of theirs. */
void pw_lay_crop(const PwLay *lay);
/* Photographs with a scale that show the same to within a few hundredths are cropped to one size,
 * so that they stand in a line, where that cuts through no mark. */
void pw_lay_even(PwSheet *sheet);
/* Whether white is left where after does not reach. */
gboolean pw_lay_leaves_white(const PwLay *lay);

#endif
