// One sentence in two languages: in English, which is what is stored, printed and compared, and, where it was
// made for a window that speaks another language (base/worded.h, ruling/internal/say.h), in that one as well.
#pragma once

#include <iosfwd>
#include <string>

namespace plumbmark::base {

/// Read as a std::string it is the English, so that nothing that is kept can come out otherwise by an
/// oversight; who shows it asks for 'spoken'. A value; any thread.
class Sentence {
  public:
    Sentence();
    /// The same in every language: a name, a number.
    Sentence(std::string english);
    Sentence(const char* english);
    /// 'spoken' is not empty where 'english' is not.
    Sentence(std::string english, std::string spoken);
    Sentence(const Sentence& other);
    Sentence(Sentence&& other) noexcept;
    Sentence& operator=(const Sentence& other);
    Sentence& operator=(Sentence&& other) noexcept;
    ~Sentence();

    [[nodiscard]] const std::string& english() const { return english_; }
    operator const std::string&() const { return english_; }
    /// In the language in which it was made; the English where that was English.
    [[nodiscard]] const std::string& spoken() const { return spoken_.empty() ? english_ : spoken_; }
    [[nodiscard]] bool empty() const { return english_.empty(); }

    /// Of the English alone: in whichever languages two people read it, it says the same.
    friend bool operator==(const Sentence& a, const Sentence& b) { return a.english_ == b.english_; }

  private:
    std::string english_;
    std::string spoken_;  ///< empty: as the English
};

/// The English.
std::ostream& operator<<(std::ostream& out, const Sentence& sentence);

}  // namespace plumbmark::base
