// Under the address sanitizer: variables that are used after their function has returned are looked for as
// well, unless the environment says otherwise.

extern "C" const char* __asan_default_options();

extern "C" const char* __asan_default_options() {
    return "detect_stack_use_after_return=1";
}
