/* Spacing: distances of the page that no style changes, in mm. What depends on type or taste of
 * drawing is the style's. */
#ifndef PW_PLATE_SPACING_H
#define PW_PLATE_SPACING_H

/* The title's baseline below the margin, and its hairline below the words. */
#define PW_TITLE_DROP 5.0
#define PW_TITLE_RULE 0.8
/* A page's own line ("page 1 of 2") below that hairline. */
#define PW_PART_DROP 3.6
/* Callouts grow to this where pictures leave room: some forty characters, still read at a glance.
 */
#define PW_WIDEST_COLUMN 62.0
/* And give way to this share of their width where pictures need the room. */
#define PW_NARROWEST_COLUMN 0.8
/* A picture narrower than this keeps this much room for the words under it. */
#define PW_LEAST_CAPTION 46.0
/* The first callout's baseline below the top of its picture: its capitals hang from that line. */
#define PW_FIRST_DROP 2.6
/* Leaders leave a callout this much above its baseline, at half the height of its small letters. */
#define PW_RISE 0.8
/* What words reach above and below their baseline, at most, in the sizes of callouts. */
#define PW_ASCENT 2.7
#define PW_DESCENT 0.9
/* A leader from the words it comes from. */
#define PW_LEADER_APART 1.2
/* Captions to the top of the scale bar, and the bar's figures above it. */
#define PW_BAR_DROP 8.0
#define PW_BAR_LABEL 1.2
/* Bar and words of the scale need this much more than the words are high. */
#define PW_SCALE_BLOCK 10.5
/* Between the key, the cautions and the last line. */
#define PW_FOOT_SPACE 1.6
/* Entries of the key apart, and a swatch from its word. */
#define PW_APART 8.0
/* Entries of a key that would else just not fit on one row. */
#define PW_KEY_APART 5.0
#define PW_SWATCH_APART 2.0
#define PW_SWATCHES_APART 0.7 /* of one row and the next */
/* How far hatch lines reach in from a mark's edge: what lies in the middle of a large one stays
 * free. */
#define PW_HATCH_REACH 4.0
/* Numbers beside a picture whose callouts stand below. */
#define PW_TAG_STRIP 5.0
/* From the last words about the pictures to the callouts below them. */
#define PW_TABLE_DROP 7.0
/* The key of a difference in colour below its caption, and its figures below that; its longest. */
#define PW_STEPS_DROP 1.4
#define PW_STEPS_FIGURE 0.8
#define PW_STEPS_LONGEST 60.0
/* Words of the scale below its bar. */
#define PW_SCALE_DROP 1.4
/* Marks smaller than this on paper are not found without a ring round them, of this radius. */
#define PW_SMALLEST_MARK 1.2
#define PW_FIND_RING 1.7
/* The small picture beside an enlargement. */
#define PW_LOCATOR 40.0
/* The contact sheet's pictures, and the white round them. */
#define PW_CONTACT_HEIGHT 36.0
#define PW_CONTACT_GAP 6.0
/* Below this a picture printed larger shows its pixels. */
#define PW_LEAST_PPI 140.0

#endif
