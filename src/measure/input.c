/* The inputs of a size: their names, scopes and default uncertainties (docs/measuring.md). */
#include <platewright/measure.h>

#include <math.h>

/* Standard uncertainty of a normal input, half-width of a rectangular one. NAN: the fit tells. */
static const struct {
  const char *name;
  double setting;
} INPUTS[PW_N_INPUTS] = {
    [PW_INPUT_CORNER] = {"corner", 1},             /* px */
    [PW_INPUT_TAG] = {"tag", (double)NAN},         /* px */
    [PW_INPUT_TICKS] = {"ticks", (double)NAN},     /* mm */
    [PW_INPUT_OUTLINE] = {"outline", 2},           /* px */
    [PW_INPUT_OUTLINING] = {"outlining", 1},       /* px */
    [PW_INPUT_RECTANGLE] = {"rectangle", 0.1},     /* mm */
    [PW_INPUT_SPAN] = {"span", 0.1},               /* mm */
    [PW_INPUT_PRINT] = {"print", 0.5},             /* % */
    [PW_INPUT_PLANE_OFFSET] = {"plane-offset", 1}, /* mm */
    [PW_INPUT_DISTANCE] = {"distance", 10},        /* % */
    [PW_INPUT_TILT] = {"tilt", 1.2},               /* degrees */
    [PW_INPUT_LENS] = {"lens", 1},                 /* % of the half diagonal, at the corner */
};

const char *
pw_input_name(PwInput input)
{
  g_return_val_if_fail((guint)input < PW_N_INPUTS, NULL);
  return INPUTS[input].name;
}

const char *
pw_scope_name(PwScope scope)
{
  switch (scope) {
  case PW_SCOPE_MARK:
    return "mark";
  case PW_SCOPE_PHOTO:
    return "photograph";
  case PW_SCOPE_CARD:
    return "card";
  case PW_SCOPE_LENS:
    return "camera and lens";
  case PW_SCOPE_VOLUME:
    return "volume";
  }
  g_return_val_if_reached(NULL);
}

void
pw_uncertainty_init_defaults(PwUncertainty *uncertainty)
{
  for (guint i = 0; i < PW_N_INPUTS; i++)
    uncertainty->by[i] = INPUTS[i].setting;
}
