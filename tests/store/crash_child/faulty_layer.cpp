#include "store/crash_child/faulty_layer.h"

#include <sqlite3.h>

#include <array>
#include <atomic>
#include <utility>

namespace plumbmark::test {
namespace {

constexpr std::array<std::pair<Fault, const char*>, 5> kWords{{{Fault::full, "full"},
                                                               {Fault::short_write, "short-write"},
                                                               {Fault::write_fails, "write-fails"},
                                                               {Fault::sync_fails, "sync-fails"},
                                                               {Fault::delete_fails, "delete-fails"}}};

enum class Sort { write, sync, removal };

struct Plan {
    Fault fault = Fault::full;
    std::atomic<std::int64_t> after = 0;
    std::atomic<std::int64_t> left = 0;
    sqlite3_vfs* system = nullptr;
};

Plan& plan() {
    static Plan kPlan;
    return kPlan;
}

Sort sort_of(Fault fault) {
    switch (fault) {
        case Fault::sync_fails:
            return Sort::sync;
        case Fault::delete_fails:
            return Sort::removal;
        default:
            return Sort::write;
    }
}

/// Whether this operation is one of those that fail.
bool fails(Sort sort) {
    Plan& its = plan();
    if (sort_of(its.fault) != sort) return false;
    if (its.after.fetch_sub(1) > 0) return false;
    return its.left.fetch_sub(1) > 0;
}

/// The system's own file stands behind it in memory.
struct Handle {
    sqlite3_file base;
};

sqlite3_file* system_file(sqlite3_file* file) {
    return reinterpret_cast<sqlite3_file*>(reinterpret_cast<Handle*>(file) + 1);
}

int write_file(sqlite3_file* file, const void* bytes, int count, sqlite3_int64 offset) {
    sqlite3_file* real = system_file(file);
    if (!fails(Sort::write)) return real->pMethods->xWrite(real, bytes, count, offset);
    switch (plan().fault) {
        case Fault::short_write:
            (void)real->pMethods->xWrite(real, bytes, count / 2, offset);
            return SQLITE_FULL;
        case Fault::write_fails:
            return SQLITE_IOERR_WRITE;
        default:
            return SQLITE_FULL;
    }
}

int sync_file(sqlite3_file* file, int flags) {
    sqlite3_file* real = system_file(file);
    return fails(Sort::sync) ? SQLITE_IOERR_FSYNC : real->pMethods->xSync(real, flags);
}

int close_file(sqlite3_file* file) {
    return system_file(file)->pMethods->xClose(system_file(file));
}
int read_file(sqlite3_file* file, void* into, int count, sqlite3_int64 offset) {
    return system_file(file)->pMethods->xRead(system_file(file), into, count, offset);
}
int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
    return system_file(file)->pMethods->xTruncate(system_file(file), size);
}
int file_size(sqlite3_file* file, sqlite3_int64* size) {
    return system_file(file)->pMethods->xFileSize(system_file(file), size);
}
int lock_file(sqlite3_file* file, int level) {
    return system_file(file)->pMethods->xLock(system_file(file), level);
}
int unlock_file(sqlite3_file* file, int level) {
    return system_file(file)->pMethods->xUnlock(system_file(file), level);
}
int check_reserved(sqlite3_file* file, int* reserved) {
    return system_file(file)->pMethods->xCheckReservedLock(system_file(file), reserved);
}
int file_control(sqlite3_file* file, int what, void* with) {
    return system_file(file)->pMethods->xFileControl(system_file(file), what, with);
}
int sector_size(sqlite3_file* file) {
    return system_file(file)->pMethods->xSectorSize(system_file(file));
}
int characteristics(sqlite3_file* file) {
    return system_file(file)->pMethods->xDeviceCharacteristics(system_file(file));
}

const sqlite3_io_methods kMethods{
    1,         close_file,  read_file,      write_file,   truncate_file, sync_file,       file_size,
    lock_file, unlock_file, check_reserved, file_control, sector_size,   characteristics, nullptr,
    nullptr,   nullptr,     nullptr,        nullptr,      nullptr};

int open_file(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    sqlite3_vfs* system = plan().system;
    const int opened = system->xOpen(system, name, system_file(file), flags, out_flags);
    file->pMethods = system_file(file)->pMethods != nullptr ? &kMethods : nullptr;
    return opened;
}

int delete_file(sqlite3_vfs*, const char* name, int sync_folder) {
    if (fails(Sort::removal)) return SQLITE_IOERR_DELETE;
    return plan().system->xDelete(plan().system, name, sync_folder);
}

}  // namespace

std::optional<Fault> fault_from_word(const std::string& word) {
    for (const auto& [fault, its] : kWords) {
        if (word == its) return fault;
    }
    return std::nullopt;
}

const char* fault_word(Fault fault) {
    for (const auto& [one, word] : kWords) {
        if (one == fault) return word;
    }
    return "";
}

std::string faulty_layer(Fault fault, std::int64_t after, std::int64_t length) {
    static sqlite3_vfs layer{};
    Plan& its = plan();
    its.system = sqlite3_vfs_find(nullptr);
    its.fault = fault;
    its.after = after;
    its.left = length;
    layer = *its.system;
    layer.zName = "faulty";
    layer.pNext = nullptr;
    layer.szOsFile = static_cast<int>(sizeof(Handle)) + its.system->szOsFile;
    layer.xOpen = open_file;
    layer.xDelete = delete_file;
    sqlite3_vfs_register(&layer, 0);
    return layer.zName;
}

}  // namespace plumbmark::test
