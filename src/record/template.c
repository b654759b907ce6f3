/* The texts that `intake` begins with: what is known filled in, what a person must say explained in
 * comments, so that a first record can be written without a manual beside it.
 */
#include "values.h"

#include <string.h>

static void
add_quoted(GString *text, const char *key, const char *value)
{
  if (value == NULL)
    return;
  g_autofree char *quoted = pw_yaml_dup_quoted(value);
  g_string_append_printf(text, "  %s: %s\n", key, quoted);
}

static void
add_photo(GString *text, const char *taken, const char *sha256, int width, int height,
          const char *source)
{
  if (taken == NULL && sha256 == NULL && source == NULL && width <= 0)
    return;
  g_string_append(text, "photo:\n");
  if (taken != NULL)
    g_string_append_printf(text, "  taken: %s\n", taken);
  if (sha256 != NULL)
    g_string_append_printf(text, "  sha256: %s\n", sha256);
  if (width > 0 && height > 0)
    g_string_append_printf(text, "  size: %d x %d\n", width, height);
  add_quoted(text, "source", source);
}

static void
add_scale(GString *text, const char *const *cards)
{
  if (cards == NULL || cards[0] == NULL) {
    g_string_append(
        text,
        "# How is its scale known? Without one there are no sizes. A card or a rule of known "
        "size:\n"
        "# scale:\n"
        "#   rectangle: {corners: \"x,y x,y x,y x,y\", width: 85.60, height: 53.98, tolerance: "
        "0.1}\n"
        "#   plane-offset: 0\n"
        "# Or a length between two points:\n"
        "# scale:\n"
        "#   span: {from: \"x,y\", to: \"x,y\", length: 100, tolerance: 0.2}\n"
        "#   plane-offset: 0\n");
    return;
  }
  gboolean several = cards[1] != NULL;
  g_string_append(
      text, "# Found in the picture. How far above the card the surface stood, in mm (0: level "
            "with it), where\n# volume.yaml does not say it for all:\nscale:\n  tags: ");
  g_string_append(text, several ? "[" : "");
  for (gsize i = 0; cards[i] != NULL; i++) {
    g_string_append(text, i > 0 ? ", " : "");
    g_autofree char *name = pw_yaml_dup_flow(cards[i], PW_YAML_AS_WORD);
    g_string_append(text, name);
  }
  g_string_append_printf(text, "%s\n  # plane-offset: 0\n", several ? "]" : "");
}

char *
pw_sidecar_dup_new(const char *taken, const char *sha256, int width, int height, const char *source,
                   PwStage stage, const char *const *cards)
{
  GString *text = g_string_new("format: platewright-photo 1\n");
  add_photo(text, taken, sha256, width, height, source);
  if (stage == PW_STAGE_NONE)
    g_string_append(text,
                    "# When was it taken? before, during or after treatment:\n# stage: before\n");
  else
    g_string_append_printf(text, "stage: %s\n", pw_stage_name(stage));
  g_string_append(
      text,
      "# What does it show? front board, back board, spine, head, tail, fore edge, opening, title "
      "page, detail ...\n"
      "# view: front board\n"
      "# light: raking from left\n"
      "# caption: \"Front board as received\"\n"
      "# The day on which somebody looked through it for names and faces:\n"
      "# privacy-checked: 2026-03-05\n");
  add_scale(text, cards);
  g_string_append(
      text, "# Each damaged or noted place, in pixels of the upright picture:\n"
            "# marks:\n"
            "#   - {id: 1, term: loss, part: \"spine leather\", outline: \"x,y x,y x,y\", note: "
            "\"...\"}\n"
            "#   - {id: 2, term: tear, part: leaf, line: \"x,y x,y\"}\n"
            "#   - {id: 3, term: loose sewing, part: sewing, point: \"x,y\", count: 2}\n");
  return g_string_free(text, FALSE);
}

/* The folder's name as an id: what no id may have becomes a dash. */
static char *
dup_id(const char *name)
{
  g_autofree char *valid = g_utf8_make_valid(name, -1);
  g_strdelimit(valid, "#/\\", '-');
  for (char *c = valid; *c != '\0'; c++)
    if (g_ascii_iscntrl(*c))
      *c = '-';
  char *start = valid + strspn(valid, ".- ");
  if (pw_id_fault(start) != NULL)
    return g_strdup("volume");
  return g_strdup(start);
}

char *
pw_volume_dup_new(const char *id)
{
  g_autofree char *valid = dup_id(id);
  g_autofree char *quoted = pw_yaml_dup_quoted(valid);
  GString *text = g_string_new("format: platewright-volume 1\n");
  g_string_append_printf(text, "volume:\n  id: %s\n", quoted);
  g_string_append(
      text,
      "  # title: \"...\"\n"
      "  # maker: \"...\"\n"
      "  # date: \"1903-1911\"\n"
      "  # binding: quarter leather\n"
      "  # Height x width x thickness in mm, and the mass in kg:\n"
      "  # size: 412 x 276 x 61\n"
      "  # mass: 5.8\n"
      "# Whose it is, and who treats it. Neither is printed for the public.\n"
      "# owner: {name: \"...\", contact: \"...\"}\n"
      "# studio: {name: \"...\", by: \"...\", contact: \"...\"}\n"
      "# received: 2026-03-02\n"
      "# examined: 2026-03-04\n"
      "# returned: 2026-05-20\n"
      "# The language of plates and documents: en or de\n"
      "# language: en\n"
      "# purpose: \"condition before treatment\"\n"
      "# The views that are wanted before and after:\n"
      "# views: [front board, spine, back board, head, tail, fore edge]\n"
      "# How far the surface that is measured stands above the card, in mm; 0 where the card lies "
      "level "
      "with it.\n"
      "# There is no size without it. A photograph may say its own:\n"
      "# plane-offset: 0\n"
      "# When it was under treatment; photographs are sorted into before, during and after by it:\n"
      "# treated: {from: 2026-03-10, to: 2026-05-15}\n"
      "# What no photograph shows:\n"
      "# observations:\n"
      "#   - {part: sewing, place: \"gatherings 12-14\", term: loose sewing, says: \"...\", basis: "
      "tested, on: 2026-03-05}\n"
      "# Parts that came off, things found inside, matter removed. Each needs an outcome in the "
      "end:\n"
      "# reattached, replaced in position, returned to owner, housed or discarded.\n"
      "# pieces:\n"
      "#   - {id: P1, kind: part, what: \"front board\", found: detached, kept: \"tray 2\", "
      "outcome: reattached, on: 2026-05-02}\n"
      "# decisions:\n"
      "#   - {on: 2026-03-05, about: [P1], question: \"...\", options: [\"...\", \"...\"], chosen: "
      "\"...\", because: \"...\"}\n"
      "# What the owner agreed to. Nothing is shown to the public without it:\n"
      "# consents:\n"
      "#   - {on: 2026-03-09, by: owner, to: treatment, is: given, how: e-mail}\n"
      "#   - {on: 2026-03-09, by: owner, to: show publicly, is: given, how: e-mail}\n");
  return g_string_free(text, FALSE);
}
