/* Progress told by long work, one step at a time. */
#include <platewright/base.h>

void
pw_progress_step(const PwProgress *progress, const char *what, guint done, guint total)
{
  static GMutex one_at_a_time;
  if (!progress || !progress->step)
    return;
  g_mutex_lock(&one_at_a_time);
  progress->step(progress->user, what, done, total);
  g_mutex_unlock(&one_at_a_time);
}
