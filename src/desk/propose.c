/* What is proposed while one draws: sizes, outlines, corners. Nothing is written. */
#include "desk-private.h"

DeskAnswer *
desk_post_size(const DeskCall *call)
{
  (void)call;
  return desk_answer_says(501, "sizes cannot be told while one draws yet");
}

DeskAnswer *
desk_post_trace(const DeskCall *call)
{
  (void)call;
  return desk_answer_says(501, "no outline can be proposed yet");
}

DeskAnswer *
desk_post_simplify(const DeskCall *call)
{
  (void)call;
  return desk_answer_says(501, "no stroke can be simplified yet");
}

DeskAnswer *
desk_post_corners(const DeskCall *call)
{
  (void)call;
  return desk_answer_says(501, "no corner can be improved yet");
}
