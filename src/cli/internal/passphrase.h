// Passphrases: from the terminal without an echo, or for scripts from the environment or an open file.
#pragma once

#include <memory>
#include <string>

#include "cli/internal/common.h"

namespace plumbmark::cli {

/// Where passphrases come from. Each is wiped when its Passphrase goes.
class Passphrase {
  public:
    Passphrase() = default;
    explicit Passphrase(std::string text) : text_(std::move(text)) {}
    Passphrase(Passphrase&&) noexcept = default;
    Passphrase& operator=(Passphrase&&) = delete;
    ~Passphrase();
    [[nodiscard]] const std::string& text() const { return text_; }

  private:
    std::string text_;
};

struct PassphraseOptions {
    int descriptor = -1;  ///< --passphrase-fd: a line for each passphrase that is asked for; -1: not given
};

inline constexpr const char* kPassphraseVariable = "PLUMBMARK_PASSPHRASE";
/// Of a new key where an old one is replaced; the other one where this is not set.
inline constexpr const char* kNewPassphraseVariable = "PLUMBMARK_NEW_PASSPHRASE";

void add_passphrase_option(CLI::App& command, PassphraseOptions& options);

/// Whether there is a passphrase to be had without asking anybody.
[[nodiscard]] bool passphrase_is_given(const PassphraseOptions& options);
/// Whether somebody at a terminal can be asked.
[[nodiscard]] bool passphrase_can_be_asked();

/// One that opens a key: 'prompt' is shown on the terminal. An empty answer gives an empty one. Errors:
/// not_found where there is neither a terminal nor a given one (says how to give it); io.
[[nodiscard]] base::Result<Passphrase> read_passphrase(const PassphraseOptions& options,
                                                       const std::string& prompt);
/// One for a new key: on a terminal asked for twice. Error bad_input where the two differ; as above.
[[nodiscard]] base::Result<Passphrase> read_new_passphrase(const PassphraseOptions& options,
                                                           const std::string& prompt);

}  // namespace plumbmark::cli
