/* The command's table, its options and its help, which is made from the same rows. */
#include "command.h"

#include <locale.h>
#include <malloc.h>
#include <string.h>

static const Command *const commands[] = {&command_intake,  &command_mark,   &command_check,
                                          &command_measure, &command_plates, &command_align,
                                          &command_report,  &command_labels, &command_export,
                                          &command_card,    &command_lens};

gboolean
given_flag(const Invocation *invocation, const char *name)
{
  return g_hash_table_contains(invocation->given, name);
}

const char *
given_value(const Invocation *invocation, const char *name)
{
  return g_hash_table_lookup(invocation->given, name);
}

/* ---- Help -------------------------------------------------------------------------- */

static void
append_usage(GString *text, const Command *command)
{
  g_string_append_printf(text, "platewright %s%s%s", command->name, command->argument ? " " : "",
                         command->argument ? command->argument : "");
  for (const Option *option = command->options; option->name; option++)
    g_string_append_printf(text, " [%s%s%s]", option->name, option->argument ? " " : "",
                           option->argument ? option->argument : "");
  g_string_append_c(text, '\n');
}

static int
help_on(const Command *command)
{
  g_autoptr(GString) text = g_string_new(NULL);
  append_usage(text, command);
  g_string_append_printf(text, "%s\n", command->summary);
  for (const Option *option = command->options; option->name; option++) {
    g_autofree char *left = g_strconcat(option->name, option->argument ? " " : "",
                                        option->argument ? option->argument : "", NULL);
    g_string_append_printf(text, "  %-14s %s\n", left, option->help);
  }
  return out_text(text->str, text->len);
}

static int
help_on_all(void)
{
  g_autoptr(GString) text =
      g_string_new("Platewright makes a measured, annotated record of a volume under treatment\n"
                   "from a folder of photographs and the text files beside them.\n\n");
  for (gsize i = 0; i < G_N_ELEMENTS(commands); i++)
    g_string_append_printf(text, "  platewright %-8s %-7s %s\n", commands[i]->name,
                           commands[i]->argument ? commands[i]->argument : "",
                           commands[i]->summary);
  g_string_append(text, "\n"
                        "platewright COMMAND --help tells a command's options.\n"
                        "FOLDER is the folder of one volume, or one photograph in it.\n"
                        "Exit status: 0 done, 1 the record has errors or findings, 2 wrong use,\n"
                        "3 a file could not be read or written.\n");
  return out_text(text->str, text->len);
}

/* ---- Options ----------------------------------------------------------------------- */

static const Command *
find_command(const char *name)
{
  for (gsize i = 0; i < G_N_ELEMENTS(commands); i++)
    if (strcmp(commands[i]->name, name) == 0)
      return commands[i];
  return NULL;
}

static const Option *
find_option(const Command *command, const char *name)
{
  for (const Option *option = command->options; option->name; option++)
    if (strcmp(option->name, name) == 0)
      return option;
  return NULL;
}

static int
wrong_option(const Command *command, const char *name)
{
  const char *names[32] = {NULL};
  for (gsize i = 0; command->options[i].name && i + 1 < G_N_ELEMENTS(names); i++)
    names[i] = command->options[i].name;
  const char *near = pw_nearest_word(name, names);
  say("platewright %s: there is no option %s%s%s; `platewright %s --help` lists them",
      command->name, name, near ? "; did you mean " : "", near ? near : "", command->name);
  return EXIT_USE;
}

/* Takes "--for public", "--for=public" and "-o FILE". */
static int
take_option(Invocation *invocation, char **arguments, int *at)
{
  char *equals = strchr(arguments[*at], '=');
  g_autofree char *name = equals ? g_strndup(arguments[*at], (gsize)(equals - arguments[*at]))
                                 : g_strdup(arguments[*at]);
  const Option *option = find_option(invocation->command, name);
  const char *value = equals ? equals + 1 : "";
  if (option == NULL)
    return wrong_option(invocation->command, name);
  if (option->argument == NULL && equals) {
    say("platewright %s: %s takes nothing", invocation->command->name, name);
    return EXIT_USE;
  }
  if (option->argument && !equals && (value = arguments[++*at]) == NULL) {
    say("platewright %s: %s wants a %s", invocation->command->name, name, option->argument);
    return EXIT_USE;
  }
  g_hash_table_insert(invocation->given, (gpointer)option->name, (gpointer)value);
  return EXIT_DONE;
}

static int
take_arguments(Invocation *invocation, char **arguments)
{
  const Command *command = invocation->command;
  gboolean options_over = FALSE;
  for (int at = 0; arguments[at] != NULL; at++) {
    if (!options_over && strcmp(arguments[at], "--") == 0) {
      options_over = TRUE;
    } else if (!options_over && arguments[at][0] == '-' && arguments[at][1] != '\0') {
      int status = take_option(invocation, arguments, &at);
      if (status != EXIT_DONE)
        return status;
    } else if (command->argument && invocation->folder == NULL) {
      invocation->folder = arguments[at];
    } else {
      say("platewright %s: \"%s\" is one argument too many", command->name, arguments[at]);
      return EXIT_USE;
    }
  }
  if (command->argument && invocation->folder == NULL) {
    say("platewright %s: which %s?", command->name, command->argument);
    return EXIT_USE;
  }
  return EXIT_DONE;
}

static int
run_command(const Command *command, char **arguments)
{
  for (char **argument = arguments; *argument && strcmp(*argument, "--") != 0; argument++)
    if (strcmp(*argument, "--help") == 0 || strcmp(*argument, "-h") == 0)
      return help_on(command);
  g_autoptr(GHashTable) given = g_hash_table_new(g_str_hash, g_str_equal);
  Invocation invocation = {.command = command, .given = given};
  int status = take_arguments(&invocation, arguments);
  if (status != EXIT_DONE)
    return status;
  g_autoptr(GError) error = NULL;
  if (!pw_photo_startup(&error))
    return say_error(error);
  status = command->run(&invocation);
  say_progress_end();
  pw_photo_shutdown();
  return status;
}

static int
unknown_command(const char *name)
{
  const char *names[G_N_ELEMENTS(commands) + 1] = {NULL};
  for (gsize i = 0; i < G_N_ELEMENTS(commands); i++)
    names[i] = commands[i]->name;
  const char *near = pw_nearest_word(name, names);
  say("platewright: there is no command \"%s\"%s%s; `platewright help` lists them", name,
      near ? "; did you mean " : "", near ? near : "");
  return EXIT_USE;
}

/* Pictures come and go by the megabyte. Left to itself, glibc raises the size from which a block
 * goes back to the system when it is freed, and a run over many photographs then keeps twice what
 * it needs. */
static void
give_memory_back(void)
{
#ifdef __GLIBC__
  mallopt(M_MMAP_THRESHOLD, 128 * 1024);
  mallopt(M_ARENA_MAX, 2);
#endif
}

int
main(int argc, char **argv)
{
  (void)argc;
  give_memory_back();
  setlocale(LC_CTYPE, ""); /* what the terminal can show; numbers never ask the locale */
  const char *name = argv[1] ? argv[1] : "";
  if (*name == '\0') {
    say("platewright: which command? `platewright help` lists them");
    return EXIT_USE;
  }
  if (strcmp(name, "--version") == 0)
    return out_text("platewright " PW_VERSION "\n", strlen("platewright " PW_VERSION "\n"));
  if (strcmp(name, "--help") == 0 || strcmp(name, "-h") == 0 || strcmp(name, "help") == 0) {
    const Command *about = argv[2] ? find_command(argv[2]) : NULL;
    if (argv[2] && about == NULL)
      return unknown_command(argv[2]);
    return about ? help_on(about) : help_on_all();
  }
  const Command *command = find_command(name);
  return command ? run_command(command, argv + 2) : unknown_command(name);
}
