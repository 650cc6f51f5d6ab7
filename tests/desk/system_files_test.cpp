// The system's window for choosing files, against a portal of the test's own on a message bus of its own. The
// interface, its options and its answer are those of the XDG Desktop Portal documentation,
// org.freedesktop.portal.FileChooser version 3 and org.freedesktop.portal.Request.
#include "desk/system_files.h"

#include <gio/gio.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <iostream>
#include <mutex>
#include <thread>

#include "support/temporary_folder.h"

using namespace plumbmark;
using namespace plumbmark::desk;
namespace fs = std::filesystem;
using Outcome = FileAnswer::Outcome;

namespace {

constexpr const char* kInterfaces = R"(<node>
<interface name="org.freedesktop.portal.FileChooser">
 <method name="OpenFile"><arg type="s" name="parent_window" direction="in"/><arg type="s" name="title" direction="in"/>
  <arg type="a{sv}" name="options" direction="in"/><arg type="o" name="handle" direction="out"/></method>
</interface>
<interface name="org.freedesktop.portal.Request"><method name="Close"/></interface>
</node>)";

/// A bus, and on it somebody who answers as a portal does.
class Portal {
  public:
    enum class Manner { answers, answers_elsewhere, is_left, waits };

    Portal(Manner manner, std::vector<std::string> uris) : manner_(manner), uris_(std::move(uris)) {
        bus_ = g_test_dbus_new(G_TEST_DBUS_NONE);
        g_test_dbus_up(bus_);
        context_ = g_main_context_new();
        thread_ = std::thread([this] { serve(); });
        while (!ready_)
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    ~Portal() {
        end_ = true;
        g_main_context_wakeup(context_);
        thread_.join();
        g_main_context_unref(context_);
        g_test_dbus_stop(bus_);
        g_object_unref(bus_);
    }

    std::atomic<bool> closed{false};
    [[nodiscard]] std::string asked() {
        const std::lock_guard lock(mutex_);
        return asked_;
    }

  private:
    void serve() {
        g_main_context_push_thread_default(context_);
        connection_ = g_dbus_connection_new_for_address_sync(
            g_test_dbus_get_bus_address(bus_),
            static_cast<GDBusConnectionFlags>(G_DBUS_CONNECTION_FLAGS_AUTHENTICATION_CLIENT |
                                              G_DBUS_CONNECTION_FLAGS_MESSAGE_BUS_CONNECTION),
            nullptr, nullptr, nullptr);
        node_ = g_dbus_node_info_new_for_xml(kInterfaces, nullptr);
        const guint object =
            g_dbus_connection_register_object(connection_, "/org/freedesktop/portal/desktop",
                                              node_->interfaces[0], &kTable, this, nullptr, nullptr);
        GVariant* owned = g_dbus_connection_call_sync(
            connection_, "org.freedesktop.DBus", "/org/freedesktop/DBus", "org.freedesktop.DBus",
            "RequestName", g_variant_new("(su)", "org.freedesktop.portal.Desktop", 0U), nullptr,
            G_DBUS_CALL_FLAGS_NONE, -1, nullptr, nullptr);
        g_variant_unref(owned);
        ready_ = true;
        while (!end_)
            g_main_context_iteration(context_, TRUE);
        g_dbus_connection_unregister_object(connection_, object);
        if (request_ != 0) g_dbus_connection_unregister_object(connection_, request_);
        g_dbus_connection_close_sync(connection_, nullptr, nullptr);
        while (g_main_context_iteration(context_, FALSE)) {
        }
        g_object_unref(connection_);
        g_dbus_node_info_unref(node_);
        g_main_context_pop_thread_default(context_);
    }

    static void called(GDBusConnection*, const char* sender, const char*, const char*, const char* method,
                       GVariant* parameters, GDBusMethodInvocation* call, void* self) {
        auto& portal = *static_cast<Portal*>(self);
        if (std::string(method) == "Close") {
            portal.closed = true;
            g_dbus_method_invocation_return_value(call, nullptr);
            return;
        }
        char* text = g_variant_print(parameters, FALSE);
        {
            const std::lock_guard lock(portal.mutex_);
            portal.asked_ = text;
        }
        g_free(text);
        GVariant* options = g_variant_get_child_value(parameters, 2);
        const char* token = "none";
        (void)g_variant_lookup(options, "handle_token", "&s", &token);
        std::string name = std::string(sender).substr(1);
        for (char& c : name)
            if (c == '.') c = '_';
        if (portal.manner_ == Manner::answers_elsewhere) name = "another";
        const std::string path = "/org/freedesktop/portal/desktop/request/" + name + "/" + token;
        g_variant_unref(options);
        portal.request_ = g_dbus_connection_register_object(
            portal.connection_, path.c_str(), portal.node_->interfaces[1], &kTable, self, nullptr, nullptr);
        // The answer may well come first; where it is told another place, it cannot.
        if (portal.manner_ == Manner::answers || portal.manner_ == Manner::is_left) portal.answer(path);
        g_dbus_method_invocation_return_value(call, g_variant_new("(o)", path.c_str()));
        if (portal.manner_ == Manner::answers_elsewhere) {
            std::this_thread::sleep_for(std::chrono::milliseconds(300));
            portal.answer(path);
        }
    }

    void answer(const std::string& path) {
        GVariantBuilder results;
        g_variant_builder_init(&results, G_VARIANT_TYPE_VARDICT);
        std::vector<const char*> list;
        for (const std::string& uri : uris_)
            list.push_back(uri.c_str());
        const bool left = manner_ == Manner::is_left;
        if (!left)
            g_variant_builder_add(&results, "{sv}", "uris",
                                  g_variant_new_strv(list.data(), static_cast<gssize>(list.size())));
        g_dbus_connection_emit_signal(connection_, nullptr, path.c_str(), "org.freedesktop.portal.Request",
                                      "Response", g_variant_new("(ua{sv})", left ? 1U : 0U, &results),
                                      nullptr);
    }

    static constexpr GDBusInterfaceVTable kTable{called, nullptr, nullptr, {}};
    Manner manner_;
    std::vector<std::string> uris_;
    GTestDBus* bus_ = nullptr;
    GMainContext* context_ = nullptr;
    GDBusConnection* connection_ = nullptr;
    GDBusNodeInfo* node_ = nullptr;
    guint request_ = 0;
    std::atomic<bool> ready_{false}, end_{false};
    std::mutex mutex_;
    std::string asked_;
    std::thread thread_;
};

bool bus_is_here() {
    if (std::system("command -v dbus-daemon >/dev/null 2>&1") == 0) return true;
    std::cout << "skipped: the program dbus-daemon is not installed\n";
    return false;
}

FileAnswer answer_of(SystemFiles& files) {
    for (int wait = 0; wait < 2000; ++wait) {
        if (auto answer = files.take()) return *answer;
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    FAIL("no answer came");
    return {};
}

FileWish wish() {
    return {"Open a meet", "/srv/quay side", {{"meets", {"*.meet", "*.MEET"}}, {"all files", {"*"}}}, true};
}

}  // namespace

TEST_CASE("the files chosen in the system's window come as paths, whatever letters their names have") {
    if (!bus_is_here()) return;
    for (const Portal::Manner manner : {Portal::Manner::answers, Portal::Manner::answers_elsewhere}) {
        Portal portal(
            manner, {"file:///srv/quay%20side/pier-nine.meet", "file:///srv/%E3%81%8B%E3%82%82%E3%82%81.mp4",
                     "https://elsewhere.example/a.mp4"});
        REQUIRE(SystemFiles::may_be_there());
        std::atomic<int> woken{0};
        SystemFiles files([&] { ++woken; });
        CHECK_FALSE(files.asking());
        files.ask(wish());
        CHECK(files.asking());
        const FileAnswer answer = answer_of(files);
        CHECK(answer.outcome == Outcome::chosen);
        CHECK(answer.files == std::vector<fs::path>{"/srv/quay side/pier-nine.meet", "/srv/かもめ.mp4"});
        CHECK(woken == 1);
        CHECK_FALSE(files.asking());
        const std::string asked = portal.asked();
        INFO(asked);
        CHECK(asked.find("'Open a meet'") != std::string::npos);
        CHECK(asked.find("'multiple': <true>") != std::string::npos);
        CHECK(asked.find("b'/srv/quay side'") != std::string::npos);
        CHECK(asked.find("('meets', [(uint32 0, '*.meet'), (0, '*.MEET')])") != std::string::npos);
    }
}

TEST_CASE("a system's window that is left chooses nothing, and can be asked for again") {
    if (!bus_is_here()) return;
    Portal portal(Portal::Manner::is_left, {});
    SystemFiles files({});
    for (int round = 0; round < 2; ++round) {
        files.ask(wish());
        CHECK(answer_of(files).outcome == Outcome::left);
    }
}

TEST_CASE("a system's window that is no longer wanted is closed") {
    if (!bus_is_here()) return;
    Portal portal(Portal::Manner::waits, {});
    {
        SystemFiles files({});
        files.ask(wish());
        while (portal.asked().empty())
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
        files.stop();
        CHECK(answer_of(files).outcome == Outcome::left);
        CHECK(portal.closed);
        portal.closed = false;
        files.ask(wish());
        std::this_thread::sleep_for(std::chrono::milliseconds(100));
    }
    // The desk is left while the window is open.
    CHECK(portal.closed);
}

TEST_CASE("a bus on which nobody answers for files says so at once, and so does no bus") {
    if (!bus_is_here()) return;
    GTestDBus* bus = g_test_dbus_new(G_TEST_DBUS_NONE);
    g_test_dbus_up(bus);
    SystemFiles files({});
    files.ask(wish());
    const FileAnswer answer = answer_of(files);
    CHECK(answer.outcome == Outcome::none_here);
    CHECK(answer.why.find("org.freedesktop.portal.Desktop") != std::string::npos);
    g_test_dbus_stop(bus);
    g_object_unref(bus);
    CHECK_FALSE(SystemFiles::may_be_there());
    ::setenv("DBUS_SESSION_BUS_ADDRESS", "unix:path=/nowhere/at-all", 1);
    CHECK_FALSE(SystemFiles::may_be_there());
    files.ask(wish());
    CHECK(answer_of(files).outcome == Outcome::none_here);
    ::unsetenv("DBUS_SESSION_BUS_ADDRESS");
}
