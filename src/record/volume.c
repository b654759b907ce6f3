/* volume.yaml: what is true of the whole volume and not of one photograph. Its keys, row by row.
 */
#include "values.h"
#include "volume_edit.h"
#include "words.h"

#include <math.h>

static const PwRange range_percent = {0, 100, FALSE, "between 0 and 100"};
static const PwRange range_count = {1, 1000000, FALSE, "1 or more"};
/* of the 100 mm line: what was read in cm or inches is none of a printer's doing */
static const PwRange range_check = {50, 200, FALSE, "between 50 and 200 mm"};
static const PwRange range_k1 = {-10, 10, FALSE, "between -10 and 10"};
/* of r^4, which a long lens keeps small: at 600 mm r is 0.036 in the corner */
static const PwRange range_k2 = {-100000, 100000, FALSE, "between -100000 and 100000"};

static const PwWord words_consent[] = {{"asked", PW_CONSENT_ASKED},
                                       {"given", PW_CONSENT_GIVEN},
                                       {"limited", PW_CONSENT_LIMITED},
                                       {"withdrawn", PW_CONSENT_WITHDRAWN},
                                       {NULL, 0}};

/* ---- The volume itself, its people, its dates -------------------------------------- */

#define AT(member) offsetof(PwVolume, member)
static const PwField identity_fields[] = {
    {.key = "id", .type = &pw_value_id, .at = AT(id), .required = TRUE},
    {.key = "title", .type = &pw_value_prose, .at = AT(title)},
    {.key = "maker", .type = &pw_value_prose, .at = AT(maker)},
    {.key = "date", .type = &pw_value_prose, .at = AT(date)},
    {.key = "binding", .type = &pw_value_prose, .at = AT(binding)},
    {.key = "size", .type = &pw_value_extent, .at = AT(size_mm)},
    {.key = "mass", .type = &pw_value_number, .at = AT(mass_kg), .range = &pw_range_positive},
    {.key = "collation", .type = &pw_value_prose, .at = AT(collation)},
    {.key = "numbering", .type = &pw_value_prose, .at = AT(numbering)},
    {.key = "description", .type = &pw_value_prose, .at = AT(description)},
};
static const PwField owner_fields[] = {
    {.key = "name", .type = &pw_value_prose, .at = AT(owner_name)},
    {.key = "contact", .type = &pw_value_prose, .at = AT(owner_contact)},
};
static const PwField studio_fields[] = {
    {.key = "name", .type = &pw_value_prose, .at = AT(studio_name)},
    {.key = "by", .type = &pw_value_prose, .at = AT(studio_by)},
    {.key = "contact", .type = &pw_value_prose, .at = AT(studio_contact)},
};
static const PwField treated_fields[] = {
    {.key = "from", .type = &pw_value_date, .at = AT(treated_from), .required = TRUE},
    {.key = "to", .type = &pw_value_date, .at = AT(treated_to)},
};
#undef AT
static const PwTable identity_table = {
    .what = "`volume`", .fields = identity_fields, .n_fields = G_N_ELEMENTS(identity_fields)};
static const PwTable owner_table = {
    .what = "`owner`", .fields = owner_fields, .n_fields = G_N_ELEMENTS(owner_fields)};
static const PwTable studio_table = {
    .what = "`studio`", .fields = studio_fields, .n_fields = G_N_ELEMENTS(studio_fields)};
static const PwTable treated_table = {
    .what = "`treated`", .fields = treated_fields, .n_fields = G_N_ELEMENTS(treated_fields)};

/* ---- Cards, lenses, cameras -------------------------------------------------------- */

#define AT(member) offsetof(PwCard, member)
static const PwField card_fields[] = {
    {.key = "design", .type = &pw_value_word, .at = AT(design)},
    {.key = "check-along", .type = &pw_value_number, .at = AT(check_along), .range = &range_check},
    {.key = "check-across",
     .type = &pw_value_number,
     .at = AT(check_across),
     .range = &range_check},
    {.key = "tolerance",
     .type = &pw_value_number,
     .at = AT(tolerance),
     .range = &pw_range_positive},
    {.key = "measured", .type = &pw_value_date, .at = AT(measured)},
    {.key = "plane-offset", .type = &pw_value_offset, .at = AT(plane_offset)},
    {.key = "greys-lab", .type = &pw_value_labs, .at = AT(greys_lab), .also = AT(n_greys)},
};
#undef AT
static const PwTable card_table = {.what = "a card",
                                   .fields = card_fields,
                                   .n_fields = G_N_ELEMENTS(card_fields),
                                   .size = sizeof(PwCard),
                                   .keeps_node = TRUE,
                                   .name_at = offsetof(PwCard, name)};

/* Left out, a coefficient is none. */
static void
check_lens(const PwReading *reading, const PwYamlNode *node, void *record)
{
  (void)reading, (void)node;
  PwLensText *lens = record;
  lens->k1 = isnan(lens->k1) ? 0 : lens->k1;
  lens->k2 = isnan(lens->k2) ? 0 : lens->k2;
}

#define AT(member) offsetof(PwLensText, member)
static const PwField lens_fields[] = {
    {.key = "make", .type = &pw_value_prose, .at = AT(make)},
    {.key = "model", .type = &pw_value_prose, .at = AT(model)},
    {.key = "lens", .type = &pw_value_prose, .at = AT(lens)},
    {.key = "focal", .type = &pw_value_number, .at = AT(focal), .range = &pw_range_positive},
    {.key = "size",
     .type = &pw_value_pixels,
     .at = AT(width),
     .also = AT(height),
     .required = TRUE},
    {.key = "f-px",
     .type = &pw_value_number,
     .at = AT(f_px),
     .range = &pw_range_positive,
     .required = TRUE},
    {.key = "cx", .type = &pw_value_number, .at = AT(cx), .required = TRUE},
    {.key = "cy", .type = &pw_value_number, .at = AT(cy), .required = TRUE},
    {.key = "k1", .type = &pw_value_number, .at = AT(k1), .range = &range_k1},
    {.key = "k2", .type = &pw_value_number, .at = AT(k2), .range = &range_k2},
    {.key = "residual-px",
     .type = &pw_value_number,
     .at = AT(residual_px),
     .range = &pw_range_not_negative},
    {.key = "from", .type = &pw_value_prose, .at = AT(from)},
};
#undef AT
static const PwTable lens_table = {.what = "a lens",
                                   .fields = lens_fields,
                                   .n_fields = G_N_ELEMENTS(lens_fields),
                                   .size = sizeof(PwLensText),
                                   .keeps_node = TRUE,
                                   .check = check_lens};

static void
check_camera(const PwReading *reading, const PwYamlNode *node, void *record)
{
  (void)reading, (void)node;
  PwCamera *camera = record;
  if (camera->clock_offset != NULL)
    pw_parse_zone(camera->clock_offset, &camera->clock_offset_s);
}

#define AT(member) offsetof(PwCamera, member)
static const PwField camera_fields[] = {
    {.key = "clock-offset", .type = &pw_value_zone, .at = AT(clock_offset), .required = TRUE},
};
#undef AT
static const PwTable camera_table = {.what = "a camera",
                                     .fields = camera_fields,
                                     .n_fields = G_N_ELEMENTS(camera_fields),
                                     .size = sizeof(PwCamera),
                                     .keeps_node = TRUE,
                                     .name_at = offsetof(PwCamera, name),
                                     .check = check_camera};

/* ---- Plates ------------------------------------------------------------------------ */

static void
check_plate(const PwReading *reading, const PwYamlNode *node, void *record)
{
  (void)record;
  if (pw_given(node, "before") == NULL && pw_given(node, "during") == NULL &&
      pw_given(node, "after") == NULL && pw_given(node, "detail") == NULL)
    pw_fault(reading, node, "missing key",
             "a plate shows nothing; add before, during, after or detail with a photograph");
}

#define AT(member) offsetof(PwPlateText, member)
static const PwField plate_fields[] = {
    {.key = "title", .type = &pw_value_prose, .at = AT(title)},
    {.key = "before", .type = &pw_value_path, .at = AT(before)},
    {.key = "during", .type = &pw_value_path, .at = AT(during)},
    {.key = "after", .type = &pw_value_path, .at = AT(after)},
    {.key = "detail", .type = &pw_value_photo, .at = AT(detail)},
};
#undef AT
static const PwTable plate_table = {.what = "a plate",
                                    .fields = plate_fields,
                                    .n_fields = G_N_ELEMENTS(plate_fields),
                                    .size = sizeof(PwPlateText),
                                    .keeps_node = TRUE,
                                    .check = check_plate};

/* ---- What no photograph shows ------------------------------------------------------ */

static void
check_observation(const PwReading *reading, const PwYamlNode *node, void *record)
{
  (void)record;
  if (pw_given(node, "term") == NULL && pw_given(node, "says") == NULL)
    pw_fault(reading, node, "missing key",
             "an observation has neither \"term\" nor \"says\"; add one of them");
}

#define AT(member) offsetof(PwObservation, member)
static const PwField observation_fields[] = {
    {.key = "part", .type = &pw_value_prose, .at = AT(part)},
    {.key = "place", .type = &pw_value_prose, .at = AT(place)},
    {.key = "term", .type = &pw_value_word, .at = AT(term)},
    {.key = "says", .type = &pw_value_prose, .at = AT(says)},
    {.key = "basis", .type = &pw_value_enum, .at = AT(basis), .of = pw_words_basis},
    {.key = "on", .type = &pw_value_date, .at = AT(on)},
};
#undef AT
static const PwTable observation_table = {.what = "an observation",
                                          .fields = observation_fields,
                                          .n_fields = G_N_ELEMENTS(observation_fields),
                                          .size = sizeof(PwObservation),
                                          .keeps_node = TRUE,
                                          .check = check_observation};

#define AT(member) offsetof(PwHandMeasure, member)
static const PwField measurement_fields[] = {
    {.key = "what", .type = &pw_value_prose, .at = AT(what), .required = TRUE},
    {.key = "value", .type = &pw_value_number, .at = AT(value), .required = TRUE},
    {.key = "unit", .type = &pw_value_prose, .at = AT(unit), .required = TRUE},
    {.key = "with", .type = &pw_value_prose, .at = AT(with)},
    {.key = "tolerance",
     .type = &pw_value_number,
     .at = AT(tolerance),
     .range = &pw_range_positive},
    {.key = "stage", .type = &pw_value_enum, .at = AT(stage), .of = pw_words_stage},
};
#undef AT
static const PwTable measurement_table = {.what = "a measurement",
                                          .fields = measurement_fields,
                                          .n_fields = G_N_ELEMENTS(measurement_fields),
                                          .size = sizeof(PwHandMeasure),
                                          .keeps_node = TRUE};

#define AT(member) offsetof(PwTest, member)
static const PwField test_fields[] = {
    {.key = "on", .type = &pw_value_date, .at = AT(on)},
    {.key = "place", .type = &pw_value_prose, .at = AT(place)},
    {.key = "method", .type = &pw_value_prose, .at = AT(method), .required = TRUE},
    {.key = "result", .type = &pw_value_prose, .at = AT(result)},
    {.key = "consumed", .type = &pw_value_yes_no, .at = AT(consumed), .otherwise = -1},
    {.key = "kept", .type = &pw_value_prose, .at = AT(kept)},
    {.key = "agreed", .type = &pw_value_date, .at = AT(agreed)},
};
#undef AT
static const PwTable test_table = {.what = "a test",
                                   .fields = test_fields,
                                   .n_fields = G_N_ELEMENTS(test_fields),
                                   .size = sizeof(PwTest),
                                   .keeps_node = TRUE};

/* ---- Pieces, decisions, treatment -------------------------------------------------- */

#define AT(member) offsetof(PwPiece, member)
static const PwField piece_fields[] = {
    {.key = "id", .type = &pw_value_id, .at = AT(id), .required = TRUE},
    {.key = "kind",
     .type = &pw_value_enum,
     .at = AT(kind),
     .of = pw_words_piece_kind,
     .required = TRUE},
    {.key = "what", .type = &pw_value_prose, .at = AT(what), .required = TRUE},
    {.key = "count",
     .type = &pw_value_integer,
     .at = AT(count),
     .range = &range_count,
     .otherwise = 1},
    {.key = "found", .type = &pw_value_prose, .at = AT(found)},
    {.key = "at", .type = &pw_value_prose, .at = AT(at)},
    {.key = "photo", .type = &pw_value_photo, .at = AT(photo)},
    {.key = "kept", .type = &pw_value_prose, .at = AT(kept)},
    {.key = "outcome", .type = &pw_value_enum, .at = AT(outcome), .of = pw_words_outcome},
    {.key = "because", .type = &pw_value_prose, .at = AT(because)},
    {.key = "on", .type = &pw_value_date, .at = AT(on)},
    {.key = "agreed", .type = &pw_value_date, .at = AT(agreed)},
};
#undef AT
static const PwTable piece_table = {.what = "a piece",
                                    .fields = piece_fields,
                                    .n_fields = G_N_ELEMENTS(piece_fields),
                                    .size = sizeof(PwPiece),
                                    .keeps_node = TRUE,
                                    .unique = "id"};

static void
check_decision(const PwReading *reading, const PwYamlNode *node, void *record)
{
  (void)record;
  if (pw_given(node, "question") == NULL && pw_given(node, "chosen") == NULL)
    pw_fault(reading, node, "missing key",
             "a decision has neither \"question\" nor \"chosen\"; add one of them");
}

#define AT(member) offsetof(PwDecision, member)
static const PwField decision_fields[] = {
    {.key = "on", .type = &pw_value_date, .at = AT(on)},
    {.key = "about", .type = &pw_value_subjects, .at = AT(about)},
    {.key = "question", .type = &pw_value_prose, .at = AT(question)},
    {.key = "options", .type = &pw_value_proses, .at = AT(options)},
    {.key = "chosen", .type = &pw_value_prose, .at = AT(chosen)},
    {.key = "because", .type = &pw_value_prose, .at = AT(because)},
    {.key = "risk", .type = &pw_value_prose, .at = AT(risk)},
    {.key = "basis", .type = &pw_value_enum, .at = AT(basis), .of = pw_words_basis},
};
#undef AT
static const PwTable decision_table = {.what = "a decision",
                                       .fields = decision_fields,
                                       .n_fields = G_N_ELEMENTS(decision_fields),
                                       .size = sizeof(PwDecision),
                                       .keeps_node = TRUE,
                                       .check = check_decision};

#define AT(member) offsetof(PwProposal, member)
static const PwField proposal_fields[] = {
    {.key = "part", .type = &pw_value_prose, .at = AT(part)},
    {.key = "do", .type = &pw_value_prose, .at = AT(do_), .required = TRUE},
    {.key = "risk", .type = &pw_value_prose, .at = AT(risk)},
    {.key = "alternative", .type = &pw_value_prose, .at = AT(alternative)},
};
#undef AT
static const PwTable proposal_table = {.what = "a proposed step",
                                       .fields = proposal_fields,
                                       .n_fields = G_N_ELEMENTS(proposal_fields),
                                       .size = sizeof(PwProposal),
                                       .keeps_node = TRUE};

#define AT(member) offsetof(PwTreatment, member)
static const PwField treatment_fields[] = {
    {.key = "on", .type = &pw_value_date, .at = AT(on)},
    {.key = "by", .type = &pw_value_prose, .at = AT(by)},
    {.key = "part", .type = &pw_value_prose, .at = AT(part)},
    {.key = "did", .type = &pw_value_prose, .at = AT(did), .required = TRUE},
    {.key = "materials", .type = &pw_value_prose, .at = AT(materials)},
    {.key = "hours", .type = &pw_value_number, .at = AT(hours), .range = &pw_range_not_negative},
    {.key = "photos", .type = &pw_value_paths, .at = AT(photos)},
    {.key = "differs", .type = &pw_value_prose, .at = AT(differs)},
};
#undef AT
static const PwTable treatment_table = {.what = "a step of treatment",
                                        .fields = treatment_fields,
                                        .n_fields = G_N_ELEMENTS(treatment_fields),
                                        .size = sizeof(PwTreatment),
                                        .keeps_node = TRUE};

/* ---- The estimate ------------------------------------------------------------------ */

static void
check_estimate_line(const PwReading *reading, const PwYamlNode *node, void *record)
{
  (void)record;
  gboolean hours = pw_given(node, "hours") != NULL, rate = pw_given(node, "rate") != NULL;
  gboolean cost = pw_given(node, "cost") != NULL;
  if (cost ? hours || rate : !hours || !rate)
    pw_fault(reading, node, "not money",
             "a line of the estimate is hours and rate, or a cost; write one or the other");
}

#define AT(member) offsetof(PwEstimateLine, member)
static const PwField estimate_line_fields[] = {
    {.key = "what", .type = &pw_value_prose, .at = AT(what), .required = TRUE},
    {.key = "hours", .type = &pw_value_money, .at = AT(hours)},
    {.key = "rate", .type = &pw_value_money, .at = AT(rate)},
    {.key = "cost", .type = &pw_value_money, .at = AT(cost)},
};
#undef AT
static const PwTable estimate_line_table = {.what = "a line of the estimate",
                                            .fields = estimate_line_fields,
                                            .n_fields = G_N_ELEMENTS(estimate_line_fields),
                                            .size = sizeof(PwEstimateLine),
                                            .keeps_node = TRUE,
                                            .check = check_estimate_line};

#define AT(member) offsetof(PwVolume, member)
static const PwField estimate_fields[] = {
    {.key = "currency", .type = &pw_value_currency, .at = AT(currency), .required = TRUE},
    {.key = "lines",
     .type = &pw_value_list,
     .at = AT(estimate),
     .also = AT(n_estimate),
     .of = &estimate_line_table},
    {.key = "tax", .type = &pw_value_money, .at = AT(tax)},
};
#undef AT
static const PwTable estimate_table = {
    .what = "`estimate`", .fields = estimate_fields, .n_fields = G_N_ELEMENTS(estimate_fields)};

/* ---- Consents, issued documents ---------------------------------------------------- */

/* What a consent is to is free text, save for the two kinds that the product obeys: one of them
 * written a little otherwise would be passed over, and a withdrawal with it. */
static void
check_consent_to(const PwReading *reading, const PwYamlNode *node, const char *to)
{
  static const char *const obeyed[] = {"treatment", "show publicly", NULL};
  const char *nearest = to ? pw_nearest_word(to, obeyed) : NULL;
  if (nearest != NULL && !g_str_equal(nearest, to))
    pw_fault(reading, pw_given(node, "to"), "unknown consent",
             "a consent is not to \"%s\"; if \"%s\" is meant, write that", to, nearest);
}

static void
check_consent(const PwReading *reading, const PwYamlNode *node, void *record)
{
  const PwConsent *consent = record;
  check_consent_to(reading, node, consent->to);
  if (g_date_valid(&consent->on) && g_date_valid(&consent->until) &&
      g_date_compare(&consent->until, &consent->on) < 0)
    pw_fault(reading, pw_given(node, "until"), "wrong order",
             "this consent ends before it was given; correct \"on\" or \"until\"");
}

#define AT(member) offsetof(PwConsent, member)
static const PwField consent_fields[] = {
    {.key = "on", .type = &pw_value_date, .at = AT(on), .required = TRUE},
    {.key = "by", .type = &pw_value_prose, .at = AT(by), .required = TRUE},
    {.key = "to", .type = &pw_value_prose, .at = AT(to), .required = TRUE},
    {.key = "is", .type = &pw_value_enum, .at = AT(is), .of = words_consent, .required = TRUE},
    {.key = "except", .type = &pw_value_subjects, .at = AT(except)},
    {.key = "scope", .type = &pw_value_prose, .at = AT(scope)},
    {.key = "how", .type = &pw_value_prose, .at = AT(how)},
    {.key = "until", .type = &pw_value_date, .at = AT(until)},
};
#undef AT
static const PwTable consent_table = {.what = "a consent",
                                      .fields = consent_fields,
                                      .n_fields = G_N_ELEMENTS(consent_fields),
                                      .size = sizeof(PwConsent),
                                      .keeps_node = TRUE,
                                      .check = check_consent};

#define AT(member) offsetof(PwIssued, member)
static const PwField issued_fields[] = {
    {.key = "document", .type = &pw_value_prose, .at = AT(document), .required = TRUE},
    {.key = "version",
     .type = &pw_value_integer,
     .at = AT(version),
     .range = &range_count,
     .required = TRUE},
    {.key = "on", .type = &pw_value_date, .at = AT(on), .required = TRUE},
    {.key = "to", .type = &pw_value_prose, .at = AT(to), .required = TRUE},
    {.key = "sha256", .type = &pw_value_sha256, .at = AT(sha256), .required = TRUE},
};
#undef AT
static const PwTable issued_table = {.what = "an issued document",
                                     .fields = issued_fields,
                                     .n_fields = G_N_ELEMENTS(issued_fields),
                                     .size = sizeof(PwIssued),
                                     .keeps_node = TRUE};

/* ---- The whole --------------------------------------------------------------------- */

static void
check_order(const PwReading *reading, const PwYamlNode *at, const GDate *first, const GDate *second,
            const char *says)
{
  if (at != NULL && g_date_valid(first) && g_date_valid(second) &&
      g_date_compare(first, second) > 0)
    pw_fault(reading, at, "wrong order", "%s", says);
}

static void
check_volume(const PwReading *reading, const PwYamlNode *root, void *record)
{
  const PwVolume *volume = record;
  check_order(reading, pw_given(root, "treated"), &volume->treated_from, &volume->treated_to,
              "treatment ends before it begins; exchange \"from\" and \"to\"");
  check_order(reading, pw_given(root, "returned"), &volume->received, &volume->returned,
              "returned before it was received; correct one of the dates");
  double percent;
  if (volume->tax != NULL && pw_parse_double(volume->tax, &percent) &&
      (percent < range_percent.least || percent > range_percent.most))
    pw_fault(reading, pw_given(pw_given(root, "estimate"), "tax"), "out of range",
             "\"tax\" is in per cent of the sum; it must be %s", range_percent.words);
}

#define AT(member) offsetof(PwVolume, member)
#define LIST(word, member, table)                                                               \
  {                                                                                             \
    .key = word, .type = &pw_value_list, .at = AT(member), .also = AT(n_##member), .of = &table \
  }
static const PwField volume_fields[] = {
    {.key = "format", .type = &pw_value_format, .required = TRUE, .is_fixed = TRUE},
    {.key = "volume", .type = &pw_value_mapping, .of = &identity_table, .required = TRUE},
    {.key = "owner", .type = &pw_value_mapping, .of = &owner_table},
    {.key = "studio", .type = &pw_value_mapping, .of = &studio_table},
    {.key = "received", .type = &pw_value_date, .at = AT(received)},
    {.key = "examined", .type = &pw_value_date, .at = AT(examined)},
    {.key = "returned", .type = &pw_value_date, .at = AT(returned)},
    {.key = "language", .type = &pw_value_language, .at = AT(language)},
    {.key = "purpose", .type = &pw_value_prose, .at = AT(purpose)},
    {.key = "views", .type = &pw_value_proses, .at = AT(views)},
    {.key = "plane-offset", .type = &pw_value_offset, .at = AT(plane_offset)},
    {.key = "uncertainty",
     .type = &pw_value_figures,
     .at = AT(uncertainty),
     .also = AT(n_uncertainty),
     .range = &pw_range_positive},
    {.key = "cards",
     .type = &pw_value_named,
     .at = AT(cards),
     .also = AT(n_cards),
     .of = &card_table},
    LIST("lenses", lenses, lens_table),
    {.key = "treated", .type = &pw_value_mapping, .of = &treated_table},
    {.key = "cameras",
     .type = &pw_value_named,
     .at = AT(cameras),
     .also = AT(n_cameras),
     .of = &camera_table},
    {.key = "lamps", .type = &pw_value_prose, .at = AT(lamps)},
    LIST("plates", plates, plate_table),
    LIST("observations", observations, observation_table),
    LIST("measurements", measurements, measurement_table),
    LIST("tests", tests, test_table),
    LIST("pieces", pieces, piece_table),
    LIST("decisions", decisions, decision_table),
    LIST("proposal", proposal, proposal_table),
    LIST("treatment", treatment, treatment_table),
    {.key = "estimate", .type = &pw_value_mapping, .of = &estimate_table},
    LIST("consents", consents, consent_table),
    LIST("issued", issued, issued_table),
    {.key = "care", .type = &pw_value_proses, .at = AT(care)},
    {.key = "notes", .type = &pw_value_proses, .at = AT(notes)},
};
#undef LIST
#undef AT
const PwTable pw_volume_table = {.what = "volume.yaml",
                                 .fields = volume_fields,
                                 .n_fields = G_N_ELEMENTS(volume_fields),
                                 .size = sizeof(PwVolume),
                                 .check = check_volume};

PwVolume *
pw_volume_take_yaml(PwYaml *yaml, PwComplaints *complaints)
{
  PwVolume *volume = g_new0(PwVolume, 1);
  volume->yaml = yaml;
  pw_table_init(&pw_volume_table, volume);
  PwReading reading;
  if (pw_reading_begin(&reading, yaml, "platewright-volume", complaints))
    pw_table_read(&reading, &pw_volume_table, pw_yaml_peek_root(yaml), volume);
  return volume;
}

PwVolume *
pw_volume_read(const char *path, PwComplaints *complaints, GError **error)
{
  PwYaml *yaml = pw_yaml_open(path, PW_VOLUME_FILE, complaints, error);
  return yaml == NULL ? NULL : pw_volume_take_yaml(yaml, complaints);
}

void
pw_volume_free(PwVolume *volume)
{
  if (volume == NULL)
    return;
  pw_table_clear(&pw_volume_table, volume);
  pw_yaml_free(volume->yaml);
  g_free(volume);
}
