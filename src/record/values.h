/* The kinds of value that rows of a table may name. Each says what its member must be.
 */
#ifndef PW_RECORD_VALUES_H
#define PW_RECORD_VALUES_H

#include "table.h"

/* Texts: char *. A comment may follow a word; from prose, paths and references it would cut. */
extern const PwValueType pw_value_word;
extern const PwValueType pw_value_prose;
extern const PwValueType pw_value_id; /* may stand after the # of a reference, and in a file name */
extern const PwValueType pw_value_path;      /* relative to the volume folder */
extern const PwValueType pw_value_reference; /* PATH#ID */
extern const PwValueType pw_value_photo;     /* PATH or PATH#ID */
extern const PwValueType pw_value_usual;     /* prose, or one of `of`, the usual words */
extern const PwValueType pw_value_choice;    /* one of `of`, a NULL-terminated list of words */
extern const PwValueType pw_value_sha256;
extern const PwValueType pw_value_time;
extern const PwValueType pw_value_zone;
extern const PwValueType pw_value_money;
extern const PwValueType pw_value_currency;
extern const PwValueType pw_value_language;
extern const PwValueType pw_value_format; /* no member: judged by pw_reading_begin */

/* Lists of texts: char **, NULL-terminated; one text alone is a list of one. */
extern const PwValueType pw_value_words;
extern const PwValueType pw_value_proses;
extern const PwValueType pw_value_paths;
extern const PwValueType pw_value_subjects; /* free words, or PATH#ID where there is a # */

extern const PwValueType pw_value_flag;    /* gboolean */
extern const PwValueType pw_value_enum;    /* an enumeration, or int */
extern const PwValueType pw_value_yes_no;  /* int: 1, 0, or `otherwise` */
extern const PwValueType pw_value_number;  /* double, NAN when left out */
extern const PwValueType pw_value_integer; /* int */
extern const PwValueType pw_value_date;    /* GDate */
extern const PwValueType pw_value_pixels;  /* "6000 x 4000": int, and int at `also` */
extern const PwValueType pw_value_extent;  /* "412 x 276 x 61": double[3] */
extern const PwValueType pw_value_offset;  /* PwPlaneOffset */
extern const PwValueType pw_value_labs;    /* double (*)[3], gsize at `also` */

extern const PwValueType pw_value_point;   /* PwPx */
extern const PwValueType pw_value_corners; /* PwPx[4] */
extern const PwValueType pw_value_points;  /* PwPxPath */
extern const PwValueType pw_value_rings;   /* PwPxPath *, gsize at `also` */

extern const PwValueType pw_value_mapping; /* `of` a table, in the struct at the offset */
extern const PwValueType pw_value_list;    /* `of` a table: an array, gsize at `also` */
extern const PwValueType pw_value_named;   /* the same, of a mapping by names */
extern const PwValueType pw_value_figures; /* PwNamed *, gsize at `also`: names to numbers */

extern const PwRange pw_range_positive;
extern const PwRange pw_range_not_negative;

/* Seconds east of Greenwich of "+01:00", "-03:30" or "Z". */
gboolean pw_parse_zone(const char *text, int *seconds);
/* Decimal money, "24.50": digits, at most four after the point, a minus for what is taken off. */
gboolean pw_is_money(const char *text);
/* NULL, or what is wrong with a path relative to the volume folder. */
const char *pw_path_fault(const char *path);
/* NULL, or what is wrong with an id. */
const char *pw_id_fault(const char *id);
/* The byte at which the i-th point of "x,y x,y" begins. */
gsize pw_point_offset(const char *text, gsize i);

#endif
