#include "base/sentence.h"

#include <ostream>
#include <utility>

namespace plumbmark::base {

// Every file that returns a Result holds errors, and with them sentences: made here once, their members need
// not be compiled again in each of those files.
Sentence::Sentence() = default;
Sentence::Sentence(std::string english) : english_(std::move(english)) {}
Sentence::Sentence(const char* english) : english_(english) {}
Sentence::Sentence(std::string english, std::string spoken)
    : english_(std::move(english)), spoken_(std::move(spoken)) {}
Sentence::Sentence(const Sentence& other) = default;
Sentence::Sentence(Sentence&& other) noexcept = default;
Sentence& Sentence::operator=(const Sentence& other) = default;
Sentence& Sentence::operator=(Sentence&& other) noexcept = default;
Sentence::~Sentence() = default;

std::ostream& operator<<(std::ostream& out, const Sentence& sentence) {
    return out << sentence.english();
}

}  // namespace plumbmark::base
