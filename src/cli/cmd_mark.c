/* mark: the marking page, served until it is interrupted. */
#include "command.h"

#include <platewright/desk.h>
#include <signal.h>
#include <string.h>
#include <unistd.h>

static const Option options[] = {
    {"--port", "N",
     "serve on this port, 0: on any that is free (the volume has one of its own, so that the "
     "browser finds again what it kept)"},
    {"--lan", NULL, "serve the local network too, for a tablet"},
    {0}};

static gboolean
port_of(const Invocation *invocation, int *port)
{
  const char *text = given_value(invocation, "--port");
  gint64 value = 0;
  if (text != NULL && (!pw_parse_int(text, &value) || value < 0 || value > 65535)) {
    say("platewright mark: a port is a number from 0 to 65535, not \"%s\"", text);
    return FALSE;
  }
  *port = text != NULL && value == 0 ? PW_DESK_ANY_PORT : (int)value;
  return TRUE;
}

/* The browser is ended like any other program. */
static void
unblock(gpointer ends)
{
  pthread_sigmask(SIG_UNBLOCK, ends, NULL);
}

/* A desktop has a browser; a pipe has a reader that will do with the address what it wants. */
static void
open_browser(const char *address, const sigset_t *ends)
{
  const char *const arguments[] = {"xdg-open", address, NULL};
  if (isatty(STDOUT_FILENO))
    g_spawn_async(NULL, (char **)(gsize)arguments, NULL,
                  G_SPAWN_SEARCH_PATH | G_SPAWN_STDOUT_TO_DEV_NULL | G_SPAWN_STDERR_TO_DEV_NULL,
                  unblock, (gpointer)(gsize)ends, NULL, NULL);
}

static void
tell_of_the_network(const PwDesk *desk)
{
  g_auto(GStrv) addresses = pw_desk_dup_lan_addresses(desk);
  if (addresses[0] == NULL)
    say("this machine is in no network; only its own browser can open the page");
  for (char **address = addresses; *address; address++) {
    g_autofree char *code = pw_desk_dup_qr(*address);
    say("on a tablet in this network: %s", *address);
    if (code != NULL && isatty(STDERR_FILENO))
      fputs(code, stderr);
  }
  say("Anybody in this network who has the address can see this volume's photographs and change "
      "its "
      "record while this runs. What is sent is not encrypted: others in the network could read it, "
      "the address too. Use --lan only in a network you trust, and stop with Ctrl-C when done.");
}

static int
serve(PwDesk *desk, const sigset_t *ends, gboolean lan)
{
  int taken;
  g_autofree char *line = g_strconcat(pw_desk_peek_address(desk), "\n", NULL);
  int status = out_text(line, strlen(line));
  if (status != EXIT_DONE)
    return status;
  if (lan)
    tell_of_the_network(desk);
  open_browser(pw_desk_peek_address(desk), ends);
  say("serving until Ctrl-C; everything is saved as it is drawn");
  sigwait(ends, &taken);
  return EXIT_DONE;
}

static int
run(const Invocation *invocation)
{
  PwDeskOptions desk_options = {.lan = given_flag(invocation, "--lan")};
  g_autoptr(GError) error = NULL;
  sigset_t ends;
  if (!port_of(invocation, &desk_options.port))
    return EXIT_USE;
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGHUP);
  pthread_sigmask(SIG_BLOCK, &ends, NULL); /* for the server's threads too */
  PwDesk *desk = pw_desk_start(invocation->folder, &desk_options, &error);
  if (desk == NULL)
    return say_error(error);
  int status = serve(desk, &ends, desk_options.lan);
  pw_desk_stop(desk);
  return status;
}

const Command command_mark = {"mark", "FOLDER",
                              "Opens the marking page on this machine, until Ctrl-C", options, run};
