/* The system calls that a write stands on, in a table so that a test can make each of them fail. */
#ifndef PW_BASE_CALLS_H
#define PW_BASE_CALLS_H

#include <sys/types.h>

typedef struct {
  ssize_t (*write)(int fd, const void *data, size_t size);
  int (*fsync)(int fd);
  int (*close)(int fd);
  int (*renameat2)(int from_folder, const char *from, int to_folder, const char *to,
                   unsigned int flags);
  int (*linkat)(int from_folder, const char *from, int to_folder, const char *to, int flags);
} PwFileCalls;

/* Changed by tests only, before any thread is started. */
extern PwFileCalls pw_file_calls;

#endif
