/* Temporary names, and what both kinds of writing ask of a file system. */
#ifndef PW_BASE_TEMP_H
#define PW_BASE_TEMP_H

#include <platewright/base.h>

enum {
  PW_TEMP_TRIES = 100, /* names tried before giving up; a second one is hardly ever needed */
  PW_TEMP_RANDOM = 6,
  PW_TEMP_SIZE = sizeof PW_TEMP_PREFIX + PW_TEMP_RANDOM
};
void pw_temp_make_name(char name[PW_TEMP_SIZE]);
/* Whether errno says that this file system does not know what was asked. */
gboolean pw_is_unknown_here(int reason);
/* All of it; FALSE with the reason in errno. */
gboolean pw_write_all(int fd, const void *data, gsize length);
/* Until it is done or fails for good: 0 or -1. */
int pw_fsync(int fd);

#endif
