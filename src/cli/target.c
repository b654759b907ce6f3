/* Where documents go, and what they may never be written over. */
#include "command.h"

#include <string.h>
#include <unistd.h>

char *
target_path(const Invocation *invocation, const PwModel *model, const char *kind,
            PwAudience audience)
{
  const char *asked = given_value(invocation, "-o");
  if (asked != NULL)
    return g_strdup(asked);
  return pw_model_dup_file_name(model, invocation->command->name, kind, audience, "pdf");
}

/* How a file of each format begins, and what it is called. */
static const struct {
  const char *sign, *name;
} formats[] = {[TARGET_PDF] = {"%PDF-", "PDF"}, [TARGET_HTML] = {"<!DOCTYPE html", "HTML"}};

/* A name without an ending may stand; one with another format's would mislead who opens it. */
static gboolean
has_other_ending(const char *path, TargetFormat format)
{
  g_autofree char *name = g_path_get_basename(path);
  const char *ending = strrchr(name, '.');
  if (ending == NULL || ending == name)
    return FALSE;
  return g_ascii_strcasecmp(ending + 1, formats[format].name) != 0 &&
         !(format == TARGET_HTML && g_ascii_strcasecmp(ending, ".htm") == 0);
}

/* Only a file of the same format, or nothing, gives way: a name mistyped costs no other its
 * content. */
static gboolean
may_give_way(const char *path, const char *sign)
{
  char head[16] = {0};
  gboolean found = FALSE;
  int fd = pw_file_open(path, NULL, NULL);
  if (fd < 0)
    return TRUE; /* not there, or nothing that the writing would accept */
  ssize_t got = read(fd, head, MIN(strlen(sign), sizeof head - 1));
  found = got == 0 || strcmp(head, sign) == 0;
  close(fd);
  return found;
}

int
target_write(const PwModel *model, const char *path, GBytes *bytes, TargetFormat format)
{
  g_autoptr(GError) error = NULL;
  gsize length;
  gconstpointer data = g_bytes_get_data(bytes, &length);
  PwWriteGuard guard = {0};
  if (model ? pw_model_holds(model, path) : pw_model_may_hold(path)) {
    say("platewright: error: %s belongs to the record and is never replaced; name another file",
        path);
    return EXIT_USE;
  }
  if (has_other_ending(path, format)) {
    say("platewright: error: what is made is %s, which %s is not called; end its name in .%s",
        formats[format].name, path, format == TARGET_PDF ? "pdf" : "html");
    return EXIT_USE;
  }
  if (!may_give_way(path, formats[format].sign)) {
    say("platewright: error: %s is there already and is no %s; name another file", path,
        formats[format].name);
    return EXIT_USE;
  }
  return pw_file_write_whole(path, data, length, &guard, &error) ? EXIT_DONE : say_error(error);
}
