/* What has changed between two versions of a document, by their plain texts: simple enough to be
 * done again by hand, thirty years on, with the two files that are kept beside the PDFs. */
#include "amendment.h"

#include <string.h>

typedef struct {
  char *heading, *text;
} Part;

static void
clear_part(gpointer data)
{
  Part *part = data;
  g_free(part->heading);
  g_free(part->text);
}

static void
clear_changed(gpointer data)
{
  g_free(((PwChangedPart *)data)->heading);
}

void
pw_amendment_clear(PwAmendment *amendment)
{
  g_clear_pointer(&amendment->parts, g_array_unref);
}

/* From the first heading on. */
static GArray *
parts_of(const char *text)
{
  static const char mark[] = "\n# ";
  GArray *parts = g_array_new(FALSE, FALSE, sizeof(Part));
  g_array_set_clear_func(parts, clear_part);
  const char *at = strstr(text, mark);
  while (at != NULL) {
    const char *heading = at + strlen(mark), *next = strstr(heading, mark);
    const char *end = next != NULL ? next : heading + strlen(heading);
    const char *line = strchr(heading, '\n');
    line = line != NULL && line < end ? line : end;
    Part part = {g_strndup(heading, (gsize)(line - heading)), g_strndup(line, (gsize)(end - line))};
    g_strstrip(part.text);
    g_array_append_val(parts, part);
    at = next;
  }
  return parts;
}

static const Part *
find(const GArray *parts, const char *heading)
{
  for (guint i = 0; i < parts->len; i++)
    if (strcmp(g_array_index(parts, Part, i).heading, heading) == 0)
      return &g_array_index(parts, Part, i);
  return NULL;
}

static void
add(GArray *changed, PwPartChange change, const Part *part)
{
  PwChangedPart one = {change, g_strdup(part->heading)};
  g_array_append_val(changed, one);
}

GArray *
pw_amendment_compare(const char *before, const char *after)
{
  g_autoptr(GArray) old = parts_of(before), new = parts_of(after);
  GArray *changed = g_array_new(FALSE, FALSE, sizeof(PwChangedPart));
  g_array_set_clear_func(changed, clear_changed);
  for (guint i = 0; i < new->len; i++) {
    const Part *part = &g_array_index(new, Part, i), *was = find(old, part->heading);
    if (was == NULL)
      add(changed, PW_PART_ADDED, part);
    else if (strcmp(was->text, part->text) != 0)
      add(changed, PW_PART_CHANGED, part);
  }
  for (guint i = 0; i < old->len; i++) {
    const Part *part = &g_array_index(old, Part, i);
    if (find(new, part->heading) == NULL)
      add(changed, PW_PART_REMOVED, part);
  }
  return changed;
}
