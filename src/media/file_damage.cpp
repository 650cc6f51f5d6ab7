#include "media/file_damage.h"

#include "base/worded.h"

namespace plumbmark::media {

using base::Sentence;
using base::worded;
using base::worded_n;

Sentence FileDamage::sentence() const {
    const Sentence reason = base::looked_up_word(why.c_str());
    switch (kind) {
        case Kind::marked_packet:
            return worded("A packet is cut off or marked as corrupt (first at packet {}).", number);
        case Kind::broken_stream:
            return worded("The stream is damaged: {} (first at packet {}).", reason, number);
        case Kind::unreadable_end:
            return worded("The file cannot be read to its end ({}): what comes after packet {} is missing.",
                          reason, number);
        case Kind::missing_listed:
            return worded_n("The file is cut short: {} picture that its index lists cannot be read whole.",
                            "The file is cut short: {} pictures that its index lists cannot be read whole.",
                            number);
        case Kind::missing_declared:
            return worded("The file is cut short: it declares {} bytes and has {}.", number, size);
        case Kind::undecoded:
            return worded("Some pictures could not be decoded whole.");
    }
    return {};
}

Sentence FileDamage::missing_end() const {
    switch (kind) {
        case Kind::unreadable_end:
            return worded("the file cannot be read further ({})", base::looked_up_word(why.c_str()));
        case Kind::missing_listed:
            return worded_n("the file ends here, and {} picture that its index lists cannot be read whole",
                            "the file ends here, and {} pictures that its index lists cannot be read whole",
                            number);
        case Kind::missing_declared:
            return worded("the file ends here, before the length that it declares");
        case Kind::marked_packet:
        case Kind::broken_stream:
        case Kind::undecoded:
            break;
    }
    return {};
}

}  // namespace plumbmark::media
