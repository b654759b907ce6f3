/* The rules of styles/care.yaml: when what is in a record calls for which advice. Their words stand
 * in styles/words, by their ids. */
#include "values.h"

#include <math.h>

struct PwCareRules {
  PwYaml *yaml;
  PwCareRule *rules;
  gsize n;
};

static const PwWord words_kind[] = {{"housing", PW_CARE_HOUSING},
                                    {"handling", PW_CARE_HANDLING},
                                    {"caution", PW_CARE_CAUTION},
                                    {NULL, 0}};
static const PwRange range_year = {1, 3000, FALSE, "a year, 1 to 3000"};

static void
check_when(const PwReading *reading, const PwYamlNode *node, void *record)
{
  const PwCareWhen *when = record;
  const gboolean asks = !isnan(when->height_over) || !isnan(when->thickness_over) ||
                        !isnan(when->height_up_to) || !isnan(when->thickness_up_to) ||
                        when->terms != NULL || when->binding != NULL || when->pieces != NULL;
  if (!asks)
    pw_fault(reading, node, "missing key",
             "this holds for every volume; say a size, terms, a binding or pieces");
}

#define AT(member) offsetof(PwCareWhen, member)
#define SIZE(word, member)                                                               \
  {                                                                                      \
    .key = word, .type = &pw_value_number, .at = AT(member), .range = &pw_range_positive \
  }
static const PwField when_fields[] = {
    SIZE("height-over", height_over),
    SIZE("height-up-to", height_up_to),
    SIZE("thickness-over", thickness_over),
    SIZE("thickness-up-to", thickness_up_to),
    {.key = "terms", .type = &pw_value_words, .at = AT(terms)},
    {.key = "binding", .type = &pw_value_words, .at = AT(binding)},
    {.key = "pieces", .type = &pw_value_words, .at = AT(pieces)},
    {.key = "made-from", .type = &pw_value_integer, .at = AT(made_from), .range = &range_year},
    {.key = "made-to", .type = &pw_value_integer, .at = AT(made_to), .range = &range_year},
};
#undef SIZE
#undef AT
static const PwTable when_table = {.what = "what a rule of care goes by",
                                   .fields = when_fields,
                                   .n_fields = G_N_ELEMENTS(when_fields),
                                   .size = sizeof(PwCareWhen),
                                   .keeps_node = TRUE,
                                   .check = check_when};

#define AT(member) offsetof(PwCareRule, member)
static const PwField rule_fields[] = {
    {.key = "rule", .type = &pw_value_id, .at = AT(id), .required = TRUE},
    {.key = "kind", .type = &pw_value_enum, .at = AT(kind), .of = words_kind, .required = TRUE},
    {.key = "source", .type = &pw_value_prose, .at = AT(source), .required = TRUE},
    {.key = "when",
     .type = &pw_value_list,
     .at = AT(when),
     .also = AT(n_when),
     .of = &when_table,
     .required = TRUE},
};
#undef AT
static const PwTable rule_table = {.what = "a rule of care",
                                   .fields = rule_fields,
                                   .n_fields = G_N_ELEMENTS(rule_fields),
                                   .size = sizeof(PwCareRule),
                                   .keeps_node = TRUE,
                                   .unique = "rule"};

#define AT(member) offsetof(PwCareRules, member)
static const PwField care_fields[] = {
    {.key = "format", .type = &pw_value_format, .required = TRUE},
    {.key = "rules",
     .type = &pw_value_list,
     .at = AT(rules),
     .also = AT(n),
     .of = &rule_table,
     .required = TRUE},
};
#undef AT
const PwTable pw_care_table = {.what = "care.yaml",
                               .fields = care_fields,
                               .n_fields = G_N_ELEMENTS(care_fields),
                               .size = sizeof(PwCareRules)};

PwCareRules *
pw_care_rules_read(const char *path, PwComplaints *complaints, GError **error)
{
  g_autofree char *name = g_path_get_basename(path);
  PwYaml *yaml = pw_yaml_open(path, name, complaints, error);
  if (yaml == NULL)
    return NULL;
  PwCareRules *rules = g_new0(PwCareRules, 1);
  rules->yaml = yaml;
  PwReading reading;
  if (pw_reading_begin(&reading, yaml, "platewright-care", complaints))
    pw_table_read(&reading, &pw_care_table, pw_yaml_peek_root(yaml), rules);
  return rules;
}

void
pw_care_rules_free(PwCareRules *rules)
{
  if (rules == NULL)
    return;
  pw_table_clear(&pw_care_table, rules);
  pw_yaml_free(rules->yaml);
  g_free(rules);
}

gsize
pw_care_rules_n(const PwCareRules *rules)
{
  return rules->n;
}

const PwCareRule *
pw_care_rules_peek(const PwCareRules *rules, gsize i)
{
  return &rules->rules[i];
}
