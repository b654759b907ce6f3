/* Edits: from the page into the sidecar, on disk before they are answered. */
#include "desk-private.h"

DeskAnswer *
desk_post_edit(const DeskCall *call)
{
  if (call->ask->if_match == NULL)
    return desk_answer_says(428, "which text does this change? (If-Match is missing)");
  return desk_answer_says(501, "nothing can be saved yet");
}
