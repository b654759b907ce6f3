// How marks look on the screen: the plates' own style, which comes with the volume in mm on paper,
// at a size that is legible at arm's length.

/** A millimetre of a plate is drawn as so many pixels, and more where the page's type is larger. */
const PX_PER_MM = 5.2;
const TYPE_PX = 16;

/** A screen is coarser than paper: thinner lines would only grey the picture. In pixels. */
const FINEST = { hatch: 1, 'hatch-casing': 2.2 };

const PLAIN = { ink: '#55524d', angle: 20, gap: 2.6, dash: [], 'line-dash': [] };

/** How much larger than usual the page is written: a large screen stands further away. */
export function largeness() {
  return parseFloat(getComputedStyle(document.documentElement).fontSize) / TYPE_PX;
}

/**
 * `style`: the volume's page-style, {lengths, inks, groups: {NAME: {ink, angle, gap, dash, line-dash}}}.
 * Gives px(length), ink(name) and group(name), all in pixels.
 */
export function lookOf({ lengths, inks, groups }, larger = 1) {
  const perMm = PX_PER_MM * larger;
  const inPixels = (dash) => (dash.length > 0 ? dash.map((mm) => mm * perMm) : null);
  return {
    larger,
    px: (name) => Math.max((FINEST[name] ?? 0) * larger, lengths[name] * perMm),
    ink: (name) => inks[name],
    group: (name) => {
      const group = groups[name] ?? groups.other ?? PLAIN;
      return { ink: group.ink, angle: group.angle, gap: group.gap * perMm, dash: inPixels(group.dash),
        lineDash: inPixels(group['line-dash']) };
    },
  };
}
