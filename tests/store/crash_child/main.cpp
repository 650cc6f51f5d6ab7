// Writes random changes to a meet file as fast as they are confirmed, and says on standard output which ones
// are. The test kills it. Arguments: the file, the seed of the changes.
#include <unistd.h>

#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <iostream>
#include <mutex>
#include <string>

#include "meet/random_changes.h"
#include "store/meet_file.h"

int main(int count, char** arguments) {
    using namespace plumbmark;
    if (count != 3) return 2;
    std::mutex mutex;
    std::condition_variable woken;
    int wakes = 0;
    store::OpenOptions options;
    options.wake = [&] {
        const std::lock_guard lock(mutex);
        ++wakes;
        woken.notify_one();
    };
    base::Result<store::MeetFile> file = store::MeetFile::open(arguments[1], options);
    if (!file) {
        std::cerr << file.error().text() << "\n";
        return 1;
    }
    test::RandomChanges random(std::strtoull(arguments[2], nullptr, 10));
    meet::State state = file->loaded();
    store::Ticket submitted = 0;
    store::Ticket told = -1;
    while (!file->failure()) {
        while (submitted < file->committed() + 5) {  // always a few under way
            const meet::Change change = random.next(state);
            if (!state.apply(change)) return 3;
            submitted = file->submit(change);
        }
        const store::Ticket committed = file->committed();
        if (committed != told) {
            const std::string line = std::to_string(committed) + "\n";
            if (::write(STDOUT_FILENO, line.data(), line.size()) < 0) return 4;
            told = committed;
        }
        std::unique_lock lock(mutex);
        woken.wait_for(lock, std::chrono::seconds(10), [&] { return wakes > 0; });
        wakes = 0;
    }
    std::cerr << file->failure()->text() << "\n";
    return 5;
}
