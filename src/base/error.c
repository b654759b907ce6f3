/* The one error domain of the library. */
#include <platewright/base.h>

G_DEFINE_QUARK(platewright - error - quark, pw_error)
