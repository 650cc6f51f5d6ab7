#include "desk/system_files.h"

#include <gio/gio.h>
#include <unistd.h>

#include <atomic>
#include <cstdlib>
#include <mutex>
#include <stop_token>
#include <string_view>
#include <thread>
#include <utility>

namespace plumbmark::desk {
namespace fs = std::filesystem;
namespace {

constexpr const char* kPortal = "org.freedesktop.portal.Desktop";
constexpr const char* kPortalPath = "/org/freedesktop/portal/desktop";
constexpr const char* kChooser = "org.freedesktop.portal.FileChooser";
constexpr const char* kRequest = "org.freedesktop.portal.Request";
constexpr int kAnswerWithin = 5000;  // ms for opening the window, not for choosing

struct Unref {
    void operator()(GDBusConnection* p) const { g_object_unref(p); }
    void operator()(GMainContext* p) const { g_main_context_unref(p); }
    void operator()(GVariant* p) const { g_variant_unref(p); }
    void operator()(GError* p) const { g_error_free(p); }
    void operator()(char* p) const { g_free(p); }
};
template <class T>
using Held = std::unique_ptr<T, Unref>;

/// A GError that is freed; its words.
class Trouble {
  public:
    GError** into() { return &error_; }
    ~Trouble() { g_clear_error(&error_); }
    [[nodiscard]] std::string words() const { return error_ ? error_->message : "no answer"; }

  private:
    GError* error_ = nullptr;
};

GVariant* kinds_of(const std::vector<FileKind>& kinds) {
    GVariantBuilder list;
    g_variant_builder_init(&list, G_VARIANT_TYPE("a(sa(us))"));
    for (const FileKind& kind : kinds) {
        GVariantBuilder patterns;
        g_variant_builder_init(&patterns, G_VARIANT_TYPE("a(us)"));
        constexpr guint32 glob = 0;
        for (const std::string& pattern : kind.patterns)
            g_variant_builder_add(&patterns, "(us)", glob, pattern.c_str());
        g_variant_builder_add(&list, "(sa(us))", kind.name.c_str(), &patterns);
    }
    return g_variant_builder_end(&list);
}

GVariant* call_of(const FileWish& wish, const std::string& token) {
    GVariantBuilder options;
    g_variant_builder_init(&options, G_VARIANT_TYPE_VARDICT);
    g_variant_builder_add(&options, "{sv}", "handle_token", g_variant_new_string(token.c_str()));
    g_variant_builder_add(&options, "{sv}", "multiple", g_variant_new_boolean(wish.many));
    g_variant_builder_add(&options, "{sv}", "modal", g_variant_new_boolean(TRUE));
    if (!wish.folder.empty())
        g_variant_builder_add(&options, "{sv}", "current_folder",
                              g_variant_new_bytestring(wish.folder.c_str()));
    if (!wish.kinds.empty()) g_variant_builder_add(&options, "{sv}", "filters", kinds_of(wish.kinds));
    return g_variant_new("(ssa{sv})", "", wish.title.c_str(), &options);
}

std::vector<fs::path> files_of(GVariant* results) {
    std::vector<fs::path> files;
    const Held<GVariant> uris(g_variant_lookup_value(results, "uris", G_VARIANT_TYPE_STRING_ARRAY));
    if (!uris) return files;
    GVariantIter each;
    g_variant_iter_init(&each, uris.get());
    const char* uri = nullptr;
    while (g_variant_iter_next(&each, "&s", &uri)) {
        const Held<char> name(g_filename_from_uri(uri, nullptr, nullptr));
        if (name) files.emplace_back(name.get());
    }
    return files;
}

std::string bus_address() {
    const char* named = std::getenv("DBUS_SESSION_BUS_ADDRESS");
    if (named && *named) return named;
    const char* run = std::getenv("XDG_RUNTIME_DIR");
    return run && *run ? "unix:path=" + std::string(run) + "/bus" : "";
}

/// One window, from opening to answer, on the thread that calls it.
class Asking {
  public:
    Asking(const FileWish& wish, const std::stop_token& stop) : wish_(wish), stop_(stop) {}

    FileAnswer run() {
        context_.reset(g_main_context_new());
        g_main_context_push_thread_default(context_.get());
        const std::stop_callback woken(stop_, [this] { g_main_context_wakeup(context_.get()); });
        open();
        while (waiting_ && !stop_.stop_requested())
            g_main_context_iteration(context_.get(), TRUE);
        if (waiting_ && !request_.empty()) close();
        if (connection_) {
            if (heard_ != 0) g_dbus_connection_signal_unsubscribe(connection_.get(), heard_);
            (void)g_dbus_connection_close_sync(connection_.get(), nullptr, nullptr);
        }
        // What was unsubscribed is let go by the context's next turns.
        while (g_main_context_iteration(context_.get(), FALSE)) {
        }
        g_main_context_pop_thread_default(context_.get());
        return answer_;
    }

  private:
    void none_here(const std::string& why) {
        answer_ = {FileAnswer::Outcome::none_here, {}, why};
        waiting_ = false;
    }

    void open() {
        // A connection of its own: the shared one would end the process when the bus goes.
        Trouble trouble;
        const auto flags = static_cast<GDBusConnectionFlags>(G_DBUS_CONNECTION_FLAGS_AUTHENTICATION_CLIENT |
                                                             G_DBUS_CONNECTION_FLAGS_MESSAGE_BUS_CONNECTION);
        connection_.reset(g_dbus_connection_new_for_address_sync(bus_address().c_str(), flags, nullptr,
                                                                 nullptr, trouble.into()));
        if (!connection_) return none_here(trouble.words());
        static std::atomic<int> count{0};
        const std::string token = "plumbmark" + std::to_string(::getpid()) + "_" + std::to_string(++count);
        std::string sender = g_dbus_connection_get_unique_name(connection_.get());
        sender.erase(0, 1);
        for (char& c : sender)
            if (c == '.') c = '_';
        // The answer may come before the call returns, so it is listened for first, where it will be.
        listen(std::string(kPortalPath) + "/request/" + sender + "/" + token);
        const Held<GVariant> reply(g_dbus_connection_call_sync(
            connection_.get(), kPortal, kPortalPath, kChooser, "OpenFile", call_of(wish_, token),
            G_VARIANT_TYPE("(o)"), G_DBUS_CALL_FLAGS_NONE, kAnswerWithin, nullptr, trouble.into()));
        if (!reply) return none_here(trouble.words());
        const char* path = nullptr;
        g_variant_get(reply.get(), "(&o)", &path);
        if (path != request_) listen(path);  // portals before version 0.9 name it their own way
    }

    void listen(const std::string& path) {
        if (heard_ != 0) g_dbus_connection_signal_unsubscribe(connection_.get(), heard_);
        request_ = path;
        heard_ =
            g_dbus_connection_signal_subscribe(connection_.get(), nullptr, kRequest, "Response", path.c_str(),
                                               nullptr, G_DBUS_SIGNAL_FLAGS_NONE, answered, this, nullptr);
    }

    static void answered(GDBusConnection*, const char*, const char*, const char*, const char*,
                         GVariant* parameters, void* self) {
        auto& asking = *static_cast<Asking*>(self);
        if (!asking.waiting_ || !g_variant_is_of_type(parameters, G_VARIANT_TYPE("(ua{sv})"))) return;
        guint32 code = 0;
        GVariant* results = nullptr;
        g_variant_get(parameters, "(u@a{sv})", &code, &results);
        const Held<GVariant> held(results);
        asking.answer_ = {FileAnswer::Outcome::left, {}, ""};
        if (code == 0) asking.answer_.files = files_of(results);
        if (!asking.answer_.files.empty()) asking.answer_.outcome = FileAnswer::Outcome::chosen;
        asking.waiting_ = false;
    }

    void close() {
        const Held<GVariant> reply(g_dbus_connection_call_sync(
            connection_.get(), kPortal, request_.c_str(), kRequest, "Close", nullptr, nullptr,
            G_DBUS_CALL_FLAGS_NONE, kAnswerWithin, nullptr, nullptr));
    }

    const FileWish& wish_;
    std::stop_token stop_;
    Held<GMainContext> context_;
    Held<GDBusConnection> connection_;
    std::string request_;
    guint heard_ = 0;
    bool waiting_ = true;
    FileAnswer answer_;
};

}  // namespace

struct SystemFiles::Work {
    std::mutex mutex;
    std::optional<FileAnswer> answer;  // guarded by mutex
    std::jthread thread;
};

SystemFiles::SystemFiles(std::function<void()> wake) : wake_(std::move(wake)) {}
SystemFiles::~SystemFiles() = default;

bool SystemFiles::may_be_there() {
    const std::string address = bus_address();
    constexpr std::string_view as_path = "unix:path=";
    if (address.rfind(as_path, 0) != 0) return !address.empty();
    std::error_code problem;
    return fs::exists(address.substr(as_path.size(), address.find(',') - as_path.size()), problem);
}

void SystemFiles::ask(FileWish wish) {
    if (work_) return;
    work_ = std::make_unique<Work>();
    work_->thread =
        std::jthread([work = work_.get(), wake = wake_, wish = std::move(wish)](const std::stop_token& stop) {
            FileAnswer answer = Asking(wish, stop).run();
            {
                const std::lock_guard lock(work->mutex);
                work->answer = std::move(answer);
            }
            if (wake) wake();
        });
}

bool SystemFiles::asking() const {
    return work_ != nullptr;
}

void SystemFiles::stop() {
    if (work_) work_->thread.request_stop();
}

std::optional<FileAnswer> SystemFiles::take() {
    if (!work_) return std::nullopt;
    std::optional<FileAnswer> answer;
    {
        const std::lock_guard lock(work_->mutex);
        answer = std::move(work_->answer);
    }
    if (answer) work_.reset();
    return answer;
}

}  // namespace plumbmark::desk
