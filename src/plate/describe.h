/* Describe: a plate's pictures in words, for who does not see them. */
#ifndef PW_PLATE_DESCRIBE_H
#define PW_PLATE_DESCRIBE_H

#include "layout.h"

/* What photograph it is and which marks are drawn on it on that page. Yours. */
char *pw_describe_dup_picture(const PwSheet *sheet, const PwPage *page, guint picture);

#endif
