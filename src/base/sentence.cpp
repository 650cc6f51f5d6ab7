#include "base/sentence.h"

#include <ostream>

namespace plumbmark::base {

std::ostream& operator<<(std::ostream& out, const Sentence& sentence) {
    return out << sentence.english();
}

}  // namespace plumbmark::base
