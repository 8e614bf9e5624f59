#include "node/app/phone_answers.hpp"

#include "node/commands/qr.hpp"
#include "node/net/interfaces.hpp"
#include "node/web/phone/fingerprint.hpp"

namespace ladderline::node {
namespace {

using web::PhoneEnd;
using web::PhoneState;

std::string_view word_of(PhoneEnd why) {
    switch (why) {
        case PhoneEnd::by_word:
            return "ended";
        case PhoneEnd::time_up:
            return "time up";
        case PhoneEnd::locked:
            return "locked";
        case PhoneEnd::wrong_links:
            return "too many wrong links";
    }
    return "";
}

std::vector<std::string> how_to_open(const web::PhoneDoor& door) {
    std::vector<std::string> out{"Your pages are open to no telephone."};
    if (door.state().ended) {
        out.push_back("The last time ended " + to_iso_minute(door.state().ended_at) + ": " +
                      std::string(word_of(*door.state().ended)) + ".");
    }
    const auto own = door.addresses();
    if (own.empty()) {
        out.emplace_back("This machine is on no local network just now; join the one that your telephone is on.");
        return out;
    }
    out.emplace_back("At home, on a network that is yours alone, choose an address of this machine:");
    for (const web::OwnAddress& one : own) {
        out.push_back("  ladderline phone " + one.address.to_string() + "    (" + one.network + ")");
    }
    return out;
}

Result<void> put_link(std::vector<std::string>& lines, const PhoneState& state, bool on_light_screen) {
    TRY(const QrPicture picture, qr_picture(state.link, QrCare::screen));
    lines.emplace_back("Open this once, in the browser on your telephone:");
    lines.push_back(state.link);
    lines.push_back(qr_blocks(picture, on_light_screen));
    lines.emplace_back(
        "The telephone warns you, because nobody vouches for this page. Open the certificate from the warning and "
        "compare before you go on:");
    lines.push_back("  name         Ladderline " + state.name);
    for (const std::string& row : web::fingerprint_rows(state.fingerprint)) {
        lines.push_back(lines.back().starts_with("  name") ? "  SHA-256      " + row : "               " + row);
    }
    lines.emplace_back(
        "If the fingerprint differs, do not go on: somebody stands in between; 'ladderline phone --stop' ends it.\n"
        "The pages are as open there as here. Nobody else should be on that network.");
    return ok();
}

boost::json::object json_of(const web::PhoneDoor& door) {
    const PhoneState& state = door.state();
    boost::json::object out{{"open", state.is_open}};
    boost::json::array own;
    for (const web::OwnAddress& one : door.addresses()) own.emplace_back(one.address.to_string());
    out["addresses"] = std::move(own);
    if (state.ended) out["ended"] = std::string(word_of(*state.ended));
    if (!state.is_open) return out;
    out["address"] = state.address;
    out["port"] = state.port;
    out["until"] = to_iso_minute(state.until);
    out["name"] = "Ladderline " + state.name;
    out["fingerprint"] = state.fingerprint;
    out["link"] = state.link;
    out["browser"] = state.browser ? state.browser->address : std::string();
    out["second_use_refused"] = state.second.has_value();
    out["wrong_links"] = state.wrong;
    return out;
}

Result<cli::Answer> shown(const web::PhoneDoor& door, bool on_light_screen) {
    const PhoneState& state = door.state();
    if (!state.is_open) return cli::Answer{cli::lines(how_to_open(door)), json_of(door)};
    std::vector<std::string> lines{"Your pages are open at " + state.address + ", port " + std::to_string(state.port) +
                                   ", until " + to_iso_minute(state.until) + "."};
    if (state.browser) lines.push_back("A browser at " + state.browser->address + " is let in; no other is.");
    if (state.second) {
        lines.push_back("Somebody at " + state.second->address +
                        " came with the used link and was refused. If that was not you: 'ladderline phone --stop'.");
    }
    if (state.wrong > 0) lines.push_back("Wrong links tried: " + std::to_string(state.wrong) + ".");
    if (!state.link.empty()) {
        TRY(put_link(lines, state, on_light_screen));
    }
    return cli::Answer{cli::lines(lines), json_of(door)};
}

}  // namespace

std::vector<web::OwnAddress> own_addresses() {
    std::vector<web::OwnAddress> out;
    for (const net::NamedAddress& one : net::named_addresses()) out.push_back({one.network, one.address});
    return out;
}

Result<cli::Answer> answer_about_phone(web::PhoneDoor& door, const cli::PhoneRequest& request) {
    using What = cli::PhoneRequest::What;
    if (request.what == What::open) {
        TRY(door.open({request.address, request.port, request.minutes}));
    }
    if (request.what == What::shut) door.shut(PhoneEnd::by_word);
    return shown(door, request.on_light_screen);
}

}  // namespace ladderline::node
