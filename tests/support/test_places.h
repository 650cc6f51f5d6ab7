#pragma once

#include <filesystem>

namespace plumbmark::test {

// Where a test finds the project's files, the programs that were built and the shared clips: absolute paths.
// They stand in one small library, so that a checkout at another place compiles that anew and no test. Each
// may be called before main and from any thread.
std::filesystem::path source_folder();
std::filesystem::path build_folder();
std::filesystem::path shared_folder();  // lies outside the project and need not be there

}  // namespace plumbmark::test
