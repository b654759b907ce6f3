/* Children that edit one file over and over, counting up, and are killed without warning at random
 * moments until all edits are done; what is there after each death is looked at. */
#ifndef PW_TEST_YAML_KILL_H
#define PW_TEST_YAML_KILL_H

#include <glib.h>

typedef struct {
  const char *path; /* in a folder of its own */
  guint n;          /* edits to be done */
  /* In the child: does the next edits until all are done; the exit status, 0 when they are. */
  int (*edit_all)(const char *path, guint n);
  /* How many edits the file holds; fails unless it is exactly one of the texts there can be. */
  guint (*edits_in)(const char *path);
} KillTest;
/* Until all are done; fails when an edit is lost, a text torn, or anything left behind that is not
 * known by its prefix. What was left is removed only at the end. */
void kill_until_done(const KillTest *test);

#endif
