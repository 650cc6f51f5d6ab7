// Writes random changes to a meet file as fast as they are confirmed, and says on standard output which ones
// are: the number of confirmed changes, a line each; "f" and a sentence where a write failed, which it then
// tries again. Whoever runs it kills it. Arguments: the file, the seed of the changes, how many are under way
// at once (5), and a fault with the number of operations before it and that of those that fail.
#include <unistd.h>

#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <iostream>
#include <mutex>
#include <string>
#include <thread>

#include "store/crash_child/faulty_layer.h"
#include "store/crash_child/script.h"
#include "store/meet_file.h"

namespace {

using namespace plumbmark;

/// A pipe that nobody reads any more ends the program.
void say(const std::string& text) {
    const std::string line = text + "\n";
    if (::write(STDOUT_FILENO, line.data(), line.size()) < 0) std::_Exit(4);
}

/// Waits until the writer has done something.
class Woken {
  public:
    void wake() {
        const std::lock_guard lock(mutex_);
        ++wakes_;
        woken_.notify_one();
    }
    void wait() {
        std::unique_lock lock(mutex_);
        woken_.wait_for(lock, std::chrono::seconds(10), [&] { return wakes_ > 0; });
        wakes_ = 0;
    }

  private:
    std::mutex mutex_;
    std::condition_variable woken_;
    int wakes_ = 0;
};

void try_again(store::MeetFile& file) {
    say("f " + file.failure()->text());
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
    file.retry();
}

}  // namespace

int main(int count, char** arguments) {
    if (count != 3 && count != 4 && count != 7) return 2;
    const auto number = [&](int i) { return std::strtoll(arguments[i], nullptr, 10); };
    const std::int64_t depth = count > 3 ? number(3) : 5;
    Woken woken;
    store::OpenOptions options;
    options.wake = [&] { woken.wake(); };
    if (count > 4) {
        const auto fault = test::fault_from_word(arguments[4]);
        if (!fault) return 2;
        options.file_layer = test::faulty_layer(*fault, number(5), number(6));
    }
    base::Result<store::MeetFile> file = store::MeetFile::open(arguments[1], options);
    if (!file) {
        std::cerr << file.error().text() << "\n";
        return 1;
    }
    test::CrashScript script(std::strtoull(arguments[2], nullptr, 10), file->loaded(), file->rows_at_open());
    store::Ticket submitted = 0;
    store::Ticket told = -1;
    while (true) {
        const store::Ticket committed = file->committed();
        if (committed != told) say(std::to_string(told = committed));
        while (submitted < committed + depth) {
            const test::CrashScript::Step step = script.next();
            submitted = step.erase ? file->submit_erasing(step.change) : file->submit(step.change);
        }
        woken.wait();
        if (file->failure()) try_again(*file);
    }
}
