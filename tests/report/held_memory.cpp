// Fontconfig keeps its patterns for the life of the process, in places where the leak checker does not look.
// It does not grow: 4,000 pictures on one thread and 80 threads one after another leave the process as large
// as the first few did.
//
// Cairo 1.16 keeps arrays of 768 bytes for each PDF with tags, which nothing of its interface frees.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() {
    return "leak:libfontconfig.so\nleak:libcairo.so\n";
}

// What the checker lets pass is not told: tests read what the program says.
extern "C" const char* __lsan_default_options();
extern "C" const char* __lsan_default_options() {
    return "print_suppressions=0";
}
