// The TOML library's own code, compiled once with the fuzzer's instrumentation.
#define TOML_IMPLEMENTATION
#include <toml++/toml.h>
