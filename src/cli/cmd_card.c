/* card: reference cards to print. */
#include "command.h"

#include <platewright/card.h>

static const Option options[] = {
    {"--size", "NAME", "id1, a6, strip or sheet; without it, a6"},
    {"--paper", "NAME", "a4 or letter; without it, a4"},
    {"-o", "FILE", "the PDF; without it, card-SIZE.pdf in this folder"},
    {0}};

static const struct {
  const char *name;
  double width_mm, height_mm;
} papers[] = {{"a4", 210, 297}, {"letter", 215.9, 279.4}};

/* The size asked for; FALSE, and said, when it is none. */
static gboolean
take_size(const Invocation *invocation, PwCardSize *size)
{
  const char *name = given_value(invocation, "--size");
  int copy = -1;
  if (name == NULL || (pw_card_parse(name, size, &copy) && copy < 0))
    return TRUE;
  say("platewright card: --size takes id1, a6, strip or sheet, not \"%s\"", name);
  return FALSE;
}

static gboolean
take_paper(const Invocation *invocation, gsize *paper)
{
  const char *name = given_value(invocation, "--paper");
  for (gsize i = 0; name != NULL && i < G_N_ELEMENTS(papers); i++)
    if (g_str_equal(name, papers[i].name)) {
      *paper = i;
      return TRUE;
    }
  if (name != NULL)
    say("platewright card: --paper takes a4 or letter, not \"%s\"", name);
  return name == NULL;
}

static int
run(const Invocation *invocation)
{
  g_autoptr(GError) error = NULL;
  PwCardSize size = PW_CARD_A6;
  gsize paper = 0;
  if (!take_size(invocation, &size) || !take_paper(invocation, &paper))
    return EXIT_USE;
  g_autoptr(GBytes) bytes =
      pw_card_make_pdf(size, papers[paper].width_mm, papers[paper].height_mm, &error);
  if (bytes == NULL)
    return say_error(error);
  const char *asked = given_value(invocation, "-o");
  g_autofree char *path =
      asked ? g_strdup(asked) : g_strdup_printf("card-%s.pdf", pw_card_design(size)->name);
  int status = target_write(NULL, path, bytes, TARGET_PDF);
  if (status == EXIT_DONE)
    say(size == PW_CARD_SHEET
            ? "%s: print it at 100 %%, lay it flat; docs/card.md tells how to photograph it"
            : "%s: print it at 100 %%, then measure its two check lines; docs/card.md tells more",
        path);
  return status;
}

const Command command_card = {"card", NULL, "Makes reference cards to print", options, run};
