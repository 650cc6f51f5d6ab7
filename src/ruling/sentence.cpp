#include "ruling/sentence.h"

#include <ostream>

namespace plumbmark::ruling {

std::ostream& operator<<(std::ostream& out, const Sentence& sentence) {
    return out << sentence.english();
}

}  // namespace plumbmark::ruling
