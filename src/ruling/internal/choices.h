// Walks through every outcome of a procedure that now and then has to choose: the procedure is run again and
// again, each time with the next script of choices, so that it can be written as if there were only one
// world.
#pragma once

#include <cstddef>
#include <vector>

namespace plumbmark::ruling {

class Choices {
  public:
    /// The next choice of the present run: false the first time it is met, true once all that follows false
    /// is done.
    bool choose() {
        if (next_ == script_.size()) script_.push_back(false);
        return script_[next_++];
    }
    /// The present run leads to nothing and is to be dropped.
    void refuse() { refused_ = true; }
    [[nodiscard]] bool refused() const { return refused_; }

    /// Prepares the next run; false when every script was tried.
    bool advance() {
        script_.resize(next_);
        while (!script_.empty() && script_.back())
            script_.pop_back();
        if (script_.empty()) return false;
        script_.back() = true;
        rewind();
        return true;
    }
    void rewind() {
        next_ = 0;
        refused_ = false;
    }

  private:
    std::vector<bool> script_;
    std::size_t next_ = 0;
    bool refused_ = false;
};

/// Runs body(choices) once for every outcome.
template <class Body>
void for_every_choice(Body&& body) {
    Choices choices;
    do {
        body(choices);
    } while (choices.advance());
}

}  // namespace plumbmark::ruling
