#include "store/lossy_disk.h"

#include <sqlite3.h>

#include <algorithm>
#include <atomic>
#include <cstring>
#include <map>
#include <mutex>
#include <new>
#include <vector>

namespace plumbmark::test {
namespace {

constexpr std::size_t kPiece = 512;

using Bytes = std::vector<unsigned char>;

struct Pending {
    bool truncation = false;
    std::size_t offset = 0;  // for a truncation the new size
    Bytes bytes;
};

struct Inode {
    Bytes live;     // what programs see
    Bytes durable;  // what is on the medium
    std::vector<Pending> pending;
    int shared = 0;  // locks, as SQLite's levels need them
    const void* reserved = nullptr;
    const void* pending_lock = nullptr;
    const void* exclusive = nullptr;
};

using Folder = std::map<std::string, std::shared_ptr<Inode>>;

void write_to(Bytes& bytes, std::size_t offset, const unsigned char* from, std::size_t count) {
    if (bytes.size() < offset + count) bytes.resize(offset + count);
    std::copy_n(from, count, bytes.begin() + static_cast<std::ptrdiff_t>(offset));
}

}  // namespace

struct LossyDisk::State {
    mutable std::mutex mutex;
    sqlite3_vfs vfs{};
    std::string name;
    Folder live;
    Folder durable;
    std::int64_t operations = 0;
    std::int64_t left = -1;  // operations until the power goes; negative: it stays
    bool dead = false;
    bool lies = false;
    Failing failing = Failing::nothing;
    std::int64_t failing_after = 0;
    int failing_code = 0;

    // SQLITE_OK, or why this operation does not take place.
    int begin(Failing sort) {
        if (dead) return SQLITE_IOERR;
        if (left == 0) {
            dead = true;
            return SQLITE_IOERR;
        }
        if (left > 0) --left;
        ++operations;
        if (failing == Failing::nothing || failing != sort) return SQLITE_OK;
        if (failing_after > 0) {
            --failing_after;
            return SQLITE_OK;
        }
        return failing_code;
    }

    void sync(Inode& inode) {
        if (lies) return;
        inode.durable = inode.live;
        inode.pending.clear();
    }
    void sync_folder() {
        if (!lies) durable = live;
    }
};

namespace {

using State = LossyDisk::State;

struct Handle {
    sqlite3_file base;
    State* disk;
    std::shared_ptr<Inode> inode;
    std::string name;
    int level;
    bool syncs_folder;
    bool delete_on_close;
};

Handle& handle_of(sqlite3_file* file) {
    return *reinterpret_cast<Handle*>(file);
}
State& disk_of(sqlite3_vfs* vfs) {
    return *static_cast<State*>(vfs->pAppData);
}

void unlock_to(Handle& handle, int level) {
    Inode& inode = *handle.inode;
    if (inode.exclusive == &handle) inode.exclusive = nullptr;
    if (inode.pending_lock == &handle) inode.pending_lock = nullptr;
    if (inode.reserved == &handle) inode.reserved = nullptr;
    if (handle.level >= SQLITE_LOCK_SHARED && level == SQLITE_LOCK_NONE) --inode.shared;
    handle.level = std::min(handle.level, level);
}

int close_file(sqlite3_file* file) {
    Handle& handle = handle_of(file);
    State& disk = *handle.disk;
    const std::lock_guard lock(disk.mutex);
    unlock_to(handle, SQLITE_LOCK_NONE);
    if (handle.delete_on_close) disk.live.erase(handle.name);
    handle.~Handle();
    return SQLITE_OK;
}

int read_file(sqlite3_file* file, void* into, int count, sqlite3_int64 offset) {
    Handle& handle = handle_of(file);
    const std::lock_guard lock(handle.disk->mutex);
    if (handle.disk->dead) return SQLITE_IOERR_READ;
    const Bytes& bytes = handle.inode->live;
    const auto begin = std::min(static_cast<std::size_t>(offset), bytes.size());
    const std::size_t there = std::min(static_cast<std::size_t>(count), bytes.size() - begin);
    std::memset(into, 0, static_cast<std::size_t>(count));
    std::copy_n(bytes.begin() + static_cast<std::ptrdiff_t>(begin), there, static_cast<unsigned char*>(into));
    return there == static_cast<std::size_t>(count) ? SQLITE_OK : SQLITE_IOERR_SHORT_READ;
}

int write_file(sqlite3_file* file, const void* from, int count, sqlite3_int64 offset) {
    Handle& handle = handle_of(file);
    const std::lock_guard lock(handle.disk->mutex);
    const int begun = handle.disk->begin(LossyDisk::Failing::writes);
    if (begun != SQLITE_OK) return begun;
    const auto* bytes = static_cast<const unsigned char*>(from);
    write_to(handle.inode->live, static_cast<std::size_t>(offset), bytes, static_cast<std::size_t>(count));
    handle.inode->pending.push_back({false, static_cast<std::size_t>(offset), Bytes(bytes, bytes + count)});
    return SQLITE_OK;
}

int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
    Handle& handle = handle_of(file);
    const std::lock_guard lock(handle.disk->mutex);
    const int begun = handle.disk->begin(LossyDisk::Failing::writes);
    if (begun != SQLITE_OK) return begun;
    handle.inode->live.resize(static_cast<std::size_t>(size));
    handle.inode->pending.push_back({true, static_cast<std::size_t>(size), {}});
    return SQLITE_OK;
}

// As SQLite's own layer for Unix: the first sync of a new journal also syncs the folder it stands in.
int sync_file(sqlite3_file* file, int) {
    Handle& handle = handle_of(file);
    const std::lock_guard lock(handle.disk->mutex);
    const int begun = handle.disk->begin(LossyDisk::Failing::syncs);
    if (begun != SQLITE_OK) return begun;
    handle.disk->sync(*handle.inode);
    if (handle.syncs_folder) handle.disk->sync_folder();
    return SQLITE_OK;
}

int file_size(sqlite3_file* file, sqlite3_int64* size) {
    Handle& handle = handle_of(file);
    const std::lock_guard lock(handle.disk->mutex);
    *size = static_cast<sqlite3_int64>(handle.inode->live.size());
    return handle.disk->dead ? SQLITE_IOERR_FSTAT : SQLITE_OK;
}

// SQLite's five levels (sqlite3.h, 'File Locking Levels') for handles within one program.
int lock_file(sqlite3_file* file, int level) {
    Handle& handle = handle_of(file);
    const std::lock_guard guard(handle.disk->mutex);
    if (handle.disk->dead) return SQLITE_IOERR_LOCK;
    if (handle.level >= level) return SQLITE_OK;
    Inode& inode = *handle.inode;
    const auto others = [&](const void* owner) { return owner != nullptr && owner != &handle; };
    if (others(inode.exclusive) || (level == SQLITE_LOCK_SHARED && others(inode.pending_lock)))
        return SQLITE_BUSY;
    if (level == SQLITE_LOCK_SHARED) {
        ++inode.shared;
    } else if (level == SQLITE_LOCK_RESERVED) {
        if (others(inode.reserved)) return SQLITE_BUSY;
        inode.reserved = &handle;
    } else {
        if (others(inode.pending_lock) || others(inode.reserved)) return SQLITE_BUSY;
        inode.pending_lock = &handle;
        if (inode.shared > 1) {
            handle.level = SQLITE_LOCK_PENDING;
            return SQLITE_BUSY;
        }
        inode.exclusive = &handle;
    }
    handle.level = level;
    return SQLITE_OK;
}

int unlock_file(sqlite3_file* file, int level) {
    Handle& handle = handle_of(file);
    const std::lock_guard lock(handle.disk->mutex);
    unlock_to(handle, level);
    return SQLITE_OK;
}

int check_reserved(sqlite3_file* file, int* reserved) {
    Handle& handle = handle_of(file);
    const std::lock_guard lock(handle.disk->mutex);
    *reserved = handle.inode->reserved != nullptr ? 1 : 0;
    return handle.disk->dead ? SQLITE_IOERR_CHECKRESERVEDLOCK : SQLITE_OK;
}

int file_control(sqlite3_file*, int, void*) {
    return SQLITE_NOTFOUND;
}
int sector_size(sqlite3_file*) {
    return 4096;
}
int characteristics(sqlite3_file*) {
    return SQLITE_IOCAP_POWERSAFE_OVERWRITE;
}

const sqlite3_io_methods kMethods{
    1,         close_file,  read_file,      write_file,   truncate_file, sync_file,       file_size,
    lock_file, unlock_file, check_reserved, file_control, sector_size,   characteristics, nullptr,
    nullptr,   nullptr,     nullptr,        nullptr,      nullptr};

int open_file(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    static std::atomic<int> unnamed = 0;
    State& disk = disk_of(vfs);
    file->pMethods = nullptr;
    const std::lock_guard lock(disk.mutex);
    if (disk.dead) return SQLITE_CANTOPEN;
    const std::string path = name != nullptr ? name : "unnamed-" + std::to_string(++unnamed);
    auto found = disk.live.find(path);
    if (found == disk.live.end()) {
        if ((flags & SQLITE_OPEN_CREATE) == 0) return SQLITE_CANTOPEN;
        const int begun = disk.begin(LossyDisk::Failing::creations);
        if (begun != SQLITE_OK) return begun;
        found = disk.live.emplace(path, std::make_shared<Inode>()).first;
    }
    new (file) Handle{{&kMethods},
                      &disk,
                      found->second,
                      path,
                      SQLITE_LOCK_NONE,
                      (flags & SQLITE_OPEN_MAIN_JOURNAL) != 0,
                      (flags & SQLITE_OPEN_DELETEONCLOSE) != 0};
    if (out_flags != nullptr) *out_flags = flags;
    return SQLITE_OK;
}

int delete_file(sqlite3_vfs* vfs, const char* name, int sync_folder) {
    State& disk = disk_of(vfs);
    const std::lock_guard lock(disk.mutex);
    const int begun = disk.begin(LossyDisk::Failing::deletions);
    if (begun != SQLITE_OK) return begun;
    if (disk.live.erase(name) == 0) return SQLITE_IOERR_DELETE_NOENT;
    if (sync_folder == 0) return SQLITE_OK;
    // Removing and syncing are two operations: the power may go between them.
    const int synced = disk.begin(LossyDisk::Failing::syncs);
    if (synced != SQLITE_OK) return synced == SQLITE_IOERR_FSYNC ? SQLITE_IOERR_DIR_FSYNC : synced;
    disk.sync_folder();
    return SQLITE_OK;
}

int access_file(sqlite3_vfs* vfs, const char* name, int, int* exists) {
    State& disk = disk_of(vfs);
    const std::lock_guard lock(disk.mutex);
    const auto found = disk.live.find(name);
    *exists = found != disk.live.end() && !found->second->live.empty() ? 1 : 0;
    return disk.dead ? SQLITE_IOERR_ACCESS : SQLITE_OK;
}

int full_name(sqlite3_vfs*, const char* name, int size, char* out) {
    sqlite3_snprintf(size, out, "%s", name);
    return SQLITE_OK;
}

sqlite3_vfs* system_layer() {
    return sqlite3_vfs_find("unix");
}
int randomness(sqlite3_vfs*, int count, char* out) {
    return system_layer()->xRandomness(system_layer(), count, out);
}
int rest(sqlite3_vfs*, int microseconds) {
    return system_layer()->xSleep(system_layer(), microseconds);
}
int current_time(sqlite3_vfs*, double* now) {
    return system_layer()->xCurrentTime(system_layer(), now);
}
int last_error(sqlite3_vfs*, int, char*) {
    return 0;
}

// The bytes that the medium holds after an outage.
Bytes survived(const Inode& inode, std::mt19937_64& random) {
    Bytes bytes = inode.durable;
    for (const Pending& pending : inode.pending) {
        if (pending.truncation) {
            if (random() % 2 == 0) bytes.resize(pending.offset);
            continue;
        }
        const bool whole = random() % 3 == 0;
        for (std::size_t at = 0; at < pending.bytes.size(); at += kPiece) {
            const std::size_t count = std::min(kPiece, pending.bytes.size() - at);
            if (whole || random() % 2 == 0)
                write_to(bytes, pending.offset + at, pending.bytes.data() + at, count);
        }
    }
    return bytes;
}

}  // namespace

LossyDisk::LossyDisk() : state_(std::make_unique<State>()) {
    static std::atomic<int> count = 0;
    state_->name = "lossy-disk-" + std::to_string(++count);
    sqlite3_vfs& vfs = state_->vfs;
    vfs.iVersion = 1;
    vfs.szOsFile = sizeof(Handle);
    vfs.mxPathname = 1024;
    vfs.zName = state_->name.c_str();
    vfs.pAppData = state_.get();
    vfs.xOpen = open_file;
    vfs.xDelete = delete_file;
    vfs.xAccess = access_file;
    vfs.xFullPathname = full_name;
    vfs.xRandomness = randomness;
    vfs.xSleep = rest;
    vfs.xCurrentTime = current_time;
    vfs.xGetLastError = last_error;
    sqlite3_initialize();
    sqlite3_vfs_register(&vfs, 0);
}

LossyDisk::~LossyDisk() {
    sqlite3_vfs_unregister(&state_->vfs);
}

const std::string& LossyDisk::name() const {
    return state_->name;
}

void LossyDisk::put(const std::string& path, const std::string& bytes) {
    const std::lock_guard lock(state_->mutex);
    auto inode = std::make_shared<Inode>();
    inode->live.assign(bytes.begin(), bytes.end());
    inode->durable = inode->live;
    state_->live[path] = inode;
    state_->durable[path] = inode;
}

std::int64_t LossyDisk::operations() const {
    const std::lock_guard lock(state_->mutex);
    return state_->operations;
}

void LossyDisk::cut_power_after(std::int64_t operations) {
    const std::lock_guard lock(state_->mutex);
    state_->left = operations;
}

bool LossyDisk::dead() const {
    const std::lock_guard lock(state_->mutex);
    return state_->dead;
}

void LossyDisk::come_up_again(std::mt19937_64& random) {
    const std::lock_guard lock(state_->mutex);
    Folder names = state_->durable;
    for (const auto& [name, inode] : state_->live) {  // made since the folder was synced
        const auto before = names.find(name);
        if ((before == names.end() || before->second != inode) && random() % 2 == 0) names[name] = inode;
    }
    for (const auto& [name, inode] : state_->durable) {  // removed since then
        if (!state_->live.contains(name) && random() % 2 == 0) names.erase(name);
    }
    for (auto& [name, inode] : names) {
        const auto fresh = std::make_shared<Inode>();
        fresh->live = fresh->durable = survived(*inode, random);
        inode = fresh;
    }
    state_->live = state_->durable = names;
    state_->left = -1;
    state_->dead = false;
}

void LossyDisk::fail(Failing what, std::int64_t after, int code) {
    const std::lock_guard lock(state_->mutex);
    state_->failing = what;
    state_->failing_after = after;
    state_->failing_code = code;
}

void LossyDisk::lie_about_syncing(bool lie) {
    const std::lock_guard lock(state_->mutex);
    state_->lies = lie;
}

}  // namespace plumbmark::test
