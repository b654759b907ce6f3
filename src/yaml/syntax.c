/* What libyaml finds wrong, in words for who wrote the text. */
#include "node.h"

static const struct {
  const char *problem; /* how libyaml's begins */
  gboolean at_context; /* the place is where the construct begins, not where it broke */
  const char *says;
} syntax_words[] = {
    {"mapping values are not allowed", FALSE,
     "a colon and a blank inside unquoted words, or keys that do not line up; put text in quotes"},
    {"found unexpected end of stream", TRUE, "the quote opened here is never closed"},
    {"did not find expected ',' or '}'", FALSE,
     "a comma or a closing brace is missing before this"},
    {"did not find expected ',' or ']'", FALSE,
     "a comma or a closing bracket is missing before this"},
    {"could not find expected ':'", TRUE, "a colon is missing after this key"},
    {"did not find expected key", FALSE,
     "this does not line up with the keys above it, or a quote or bracket before it is wrong"},
    {"did not find expected '-' indicator", FALSE, "this does not line up with the items above it"},
    {"found a tab character", FALSE, "a tab stands where spaces must"},
    {"found unexpected ':'", FALSE, "a blank is missing after this colon"},
    {"found unknown escape character", FALSE,
     "this escape is not known; write a backslash as \\\\ inside double quotes"},
    {"block sequence entries are not allowed", FALSE,
     "a list cannot begin here; begin it on the next line"},
    {"did not find expected <document start>", FALSE, "this stands after the end of the document"},
    {"found undefined tag handle", FALSE,
     "tags are not read; put a text that begins with ! in "
     "quotes"},
};

/* libyaml has one problem for all characters that no token begins with. */
static const char *
words_for_first(char first)
{
  return first == '\t' ? "a tab stands where spaces must"
                       : "no unquoted text can begin with this; put it in quotes";
}

const char *
pw_yaml_words_for_problem(const char *problem, char first, gboolean *at_context)
{
  *at_context = FALSE;
  if (!problem)
    return "cannot be read";
  if (g_str_has_prefix(problem, "found character that cannot start any token"))
    return words_for_first(first);
  for (gsize i = 0; i < G_N_ELEMENTS(syntax_words); i++) {
    if (!g_str_has_prefix(problem, syntax_words[i].problem))
      continue;
    *at_context = syntax_words[i].at_context;
    return syntax_words[i].says;
  }
  return problem;
}
