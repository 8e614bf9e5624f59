#pragma once
// The pages on their owner's own telephone: a second listener with TLS at one address of the local network, open for a
// time, for one browser, which comes by a link that works once. Shut unless its owner opens it.
//
// It ends by its owner's word, by its time, when the pages are locked, and after links_wrong_max wrong links. With it
// end its certificate, its key, its link and the browser's cookie.
// Not against somebody in between on that network whom the person lets pass by not comparing the fingerprint.
// One strand: every call, and every page, runs on the executor given.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "node/app/env.hpp"
#include "node/web/guard.hpp"
#include "node/web/live.hpp"
#include "node/web/phone/local_network.hpp"
#include "node/web/router.hpp"
#include "protocol/base/result.hpp"

namespace ladderline::node::web {

inline constexpr std::int32_t phone_minutes = 30;
inline constexpr std::int32_t phone_minutes_max = 8 * 60;
inline constexpr std::uint32_t links_wrong_max = 10;
// The live topic of what happens at the door.
inline constexpr std::string_view phone_topic = "phone";

struct PhoneOptions {
    std::string address;     // of this machine on a local network, or of its loopback
    std::uint16_t port = 0;  // 0: a free one
    std::int32_t minutes = phone_minutes;
};

enum class PhoneEnd : std::uint8_t { by_word, time_up, locked, wrong_links };

// Somebody at the door, and when.
struct Caller {
    std::string address;
    WallTime when;
};

struct PhoneState {
    bool is_open = false;
    std::string address;
    std::uint16_t port = 0;
    std::string link;         // empty once it is used
    std::string name;         // of the certificate: three words, so that another share's is told from it
    std::string fingerprint;  // "3F:0A:...", 32 pairs
    WallTime until;
    std::optional<Caller> browser;  // let in
    std::optional<Caller> second;   // the latest who came with the used link
    std::uint32_t wrong = 0;        // links that were never right
    std::optional<PhoneEnd> ended;  // the last share, and when
    WallTime ended_at;
};

class PhoneDoor {
public:
    struct Setup {
        std::function<std::vector<OwnAddress>()> addresses;  // of this machine, now
        std::int64_t idle_ms_max = 0;                        // as GuardOptions
    };

    // `router`, `hub` and `env` must outlive the door.
    PhoneDoor(boost::asio::any_io_executor strand, const Router& router, LiveHub& hub, Env& env, Setup setup);
    ~PhoneDoor();
    PhoneDoor(const PhoneDoor&) = delete;
    PhoneDoor& operator=(const PhoneDoor&) = delete;

    // Told when a browser locks the pages from the telephone; this door is shut by then.
    void on_lock(std::function<void()> listener) { on_lock_ = std::move(listener); }
    void on_fault(std::function<void(const std::string& path, const std::string& what)> listener);

    // Addresses that may be chosen.
    std::vector<OwnAddress> addresses() const;
    // busy: open already. bad_input: no such address here, an odd port or time. busy, network: as Server::listen.
    Result<void> open(const PhoneOptions& options);
    // Nothing where it is shut.
    void shut(PhoneEnd why);
    const PhoneState& state() const { return state_; }
    // Looks at the time. Called every second while open.
    void on_time();

private:
    struct Share;

    void tick();
    void opened(Opened what, const std::string& peer);
    void tell();

    boost::asio::any_io_executor strand_;
    const Router& router_;
    LiveHub& hub_;
    Env& env_;
    Setup setup_;
    boost::asio::steady_timer timer_;
    PhoneState state_;
    MonoTime deadline_;
    std::shared_ptr<Share> share_;                 // while open
    std::vector<std::shared_ptr<Share>> leaving_;  // shut, with answers that are still being written
    std::function<void()> on_lock_ = [] {};
    std::function<void(const std::string&, const std::string&)> on_fault_;
    std::shared_ptr<int> alive_ =
        std::make_shared<int>(0);  // callbacks of the executor look whether this is still here
};

}  // namespace ladderline::node::web
