// How marks look on the screen: the plates' own style, which comes with the volume in mm on paper,
// at a size that is legible at arm's length.

/** A millimetre of a plate is drawn as so many pixels. */
const PX_PER_MM = 5.2;

/** A screen is coarser than paper: thinner lines would only grey the picture. */
const FINEST = { hatch: 1, 'hatch-casing': 2.2 };

const PLAIN = { ink: '#55524d', angle: 20, gap: 2.6, dash: [], 'line-dash': [] };

function inPixels(dash) { return dash.length > 0 ? dash.map((mm) => mm * PX_PER_MM) : null; }

/**
 * `style`: the volume's page-style, {lengths, inks, groups: {NAME: {ink, angle, gap, dash, line-dash}}}.
 * Gives px(length), ink(name) and group(name), all in pixels.
 */
export function lookOf({ lengths, inks, groups }) {
  return {
    px: (name) => Math.max(FINEST[name] ?? 0, lengths[name] * PX_PER_MM),
    ink: (name) => inks[name],
    group: (name) => {
      const group = groups[name] ?? groups.other ?? PLAIN;
      return { ink: group.ink, angle: group.angle, gap: group.gap * PX_PER_MM, dash: inPixels(group.dash),
        lineDash: inPixels(group['line-dash']) };
    },
  };
}
