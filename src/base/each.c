/* The same work for every item on all cores: threads that take the next number until none is
 * left. The caller is one of them, so that the work is done even where no thread can be had. */
#include <platewright/base.h>

#include <stdatomic.h>

typedef struct {
  guint n;
  atomic_uint next;
  void (*work)(void *user, guint i);
  void *user;
} Each;

static gpointer
take_turns(gpointer data)
{
  Each *each = data;
  for (;;) {
    const guint i = atomic_fetch_add(&each->next, 1);
    if (i >= each->n)
      return NULL;
    each->work(each->user, i);
  }
}

void
pw_each(guint n, guint threads, void (*work)(void *user, guint i), void *user)
{
  Each each = {.n = n, .work = work, .user = user};
  const guint wanted = MIN(threads ? threads : g_get_num_processors(), n);
  g_autoptr(GPtrArray) helpers = g_ptr_array_new();
  while (helpers->len + 1 < wanted) {
    GThread *helper = g_thread_try_new("platewright", take_turns, &each, NULL);
    if (!helper)
      break;
    g_ptr_array_add(helpers, helper);
  }
  take_turns(&each);
  for (guint i = 0; i < helpers->len; i++)
    g_thread_join(g_ptr_array_index(helpers, i));
}
