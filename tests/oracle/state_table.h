// Every state that was met, each once: an open hash table over the bytes of place and state.
#pragma once

#include <cstring>
#include <vector>

#include "oracle/clocks.h"

namespace plumbmark::oracle {

struct Node {
    RunState state;
    Place place;
    std::uint64_t idle = 0;  ///< contacts that may come and go here without any consequence
    int parent = -1;
    int mark = -1;                            ///< index of the mark that led here
    const ruling::Happening* what = nullptr;  ///< the event that led here
    bool deadline = false;                    ///< a deadline came due on the way here
};

class StateTable {
  public:
    StateTable() : slots_(kFirstSize, -1) {}

    [[nodiscard]] std::size_t size() const { return nodes_.size(); }
    [[nodiscard]] const Node& operator[](int id) const { return nodes_[static_cast<std::size_t>(id)]; }

    /// The new node's number; -1 when its state was met at its place before.
    int add(const Node& node) {
        if (nodes_.size() * 2 >= slots_.size()) grow();
        int& slot = find(node);
        if (slot >= 0) return -1;
        slot = static_cast<int>(nodes_.size());
        nodes_.push_back(node);
        return slot;
    }

  private:
    static constexpr std::size_t kFirstSize = 1'024;

    static std::uint64_t hash(const Node& node) {
        std::uint64_t h = 0;
        const auto mix = [&h](const auto& value) {
            static_assert(sizeof(value) % sizeof(std::uint64_t) == 0);
            std::uint64_t words[sizeof(value) / sizeof(std::uint64_t)];
            std::memcpy(words, &value, sizeof(value));
            for (const std::uint64_t word : words) {
                h = (h ^ word) * 0x9e3779b97f4a7c15ULL;
                h ^= h >> 29U;
            }
        };
        mix(node.state);
        mix(node.place);
        return h;
    }
    int& find(const Node& node) {
        std::size_t at = hash(node) & (slots_.size() - 1);
        while (slots_[at] >= 0) {
            const Node& other = (*this)[slots_[at]];
            if (other.place == node.place && other.state == node.state) break;
            at = (at + 1) & (slots_.size() - 1);
        }
        return slots_[at];
    }
    void grow() {
        slots_.assign(slots_.size() * 4, -1);
        for (std::size_t id = 0; id < nodes_.size(); ++id)
            find(nodes_[id]) = static_cast<int>(id);
    }

    std::vector<Node> nodes_;
    std::vector<int> slots_;
};

}  // namespace plumbmark::oracle
