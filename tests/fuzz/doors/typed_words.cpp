// Short things that people type, and that also stand in what others sent: call signs, places, days, numbers, item ids.
// The first byte picks one.

#include "node/domain/ladder/edition.hpp"
#include "node/domain/radio/adif.hpp"
#include "node/domain/radio/locator.hpp"
#include "node/domain/radio/log_lines.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace domain;

void call_sign(std::string_view text) {
    const auto split = split_call(text);
    if (split) {
        demand(!split.value().base.empty() && same_call(split.value(), split.value()), "a call sign is its own");
    }
    static_cast<void>(is_impossible_demo_call(text));
    const auto call = parse_us_call_sign(text);
    if (!call) return;
    demand(parse_us_call_sign(call.value().text()).value() == call.value(), "a call sign is written as it was read");
    static_cast<void>(why_not_available(call.value()));
    static_cast<void>(group_of(call.value()));
}

void locator(std::string_view text) {
    const auto place = Locator::parse(text);
    if (!place) return;
    const Position centre = place.value().centre();
    demand(Locator::of(centre, place.value().length()).value() == place.value(), "a place lies in its own square");
}

void megahertz(std::string_view text) {
    const auto hz = parse_megahertz(text);
    if (!hz) return;
    demand(parse_megahertz(to_megahertz(hz.value())).value() == hz.value(), "a frequency is written as it was read");
    static_cast<void>(band_of(hz.value()));
}

void day(std::string_view text) {
    const auto read = parse_day(text);
    if (read) demand(to_iso(read.value()) == text, "a day has one form");
}

void utc(std::string_view text) {
    const auto time = parse_utc(text);
    if (time)
        demand(parse_utc(to_iso_second(time.value())).value() == time.value(), "a time is written as it was read");
}

void hex(std::string_view text) {
    const auto bytes = from_hex(text);
    if (bytes) demand(to_hex(bytes.value()).size() == text.size(), "two characters a byte");
}

void base32(std::string_view text) {
    const auto bytes = from_base32(text);
    if (bytes) demand(from_base32(to_base32(bytes.value())).value() == bytes.value(), "base 32 holds what was put in");
}

void item(std::string_view text) {
    const auto id = parse_item_id(text);
    if (id) demand(to_text(id.value()) == text, "an item's number has one form");
    const auto found = find_by_input(shipped_edition(), text);
    if (found) demand(found.value() != nullptr, "what is found is there");
}

void log_line(std::string_view text) {
    const auto read = read_log_line(text);
    if (!read) {
        demand(read.error().sentence().ends_with("."), "what is wrong with a line is one sentence");
        return;
    }
    const auto* line = std::get_if<LogLine>(&read.value());
    if (line == nullptr) return;
    const std::string written = write_log_line(*line);
    const auto again = read_log_line(written);
    demand(again && write_log_line(std::get<LogLine>(again.value())) == written, "a line is written as it was read");
}

using Reader = void (*)(std::string_view);
constexpr std::array<Reader, 9> readers{call_sign, locator, megahertz, day, utc, hex, base32, item, log_line};

void knock(ByteView input) {
    if (!input.empty()) readers[input[0] % readers.size()](as_text(input.subspan(1)));
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    const std::array<std::string_view, readers.size()> examples{"F/QQ1ABC/P",
                                                                "JN58td25",
                                                                "14.0745",
                                                                "2026-11-25",
                                                                "2026-11-25T19:05:07Z",
                                                                "00ffA5",
                                                                "1CXG6-4QZ",
                                                                "09.06",
                                                                "1905 KD0XAA 146.52 MHz FM 59 -12 / by the lake"};
    for (std::size_t i = 0; i < examples.size(); ++i) {
        Bytes input{static_cast<std::uint8_t>(i)};
        input.insert(input.end(), examples[i].begin(), examples[i].end());
        out.seeds.push_back({"kind_" + std::to_string(i), input});
    }
    out.words = {"/",     ".", "-", ":", "Z", "9999-12-31", "0001-01-01", "first contact", "99999999999999999999",
                 "KD0XAA"};
    out.bytes_max = 4096;
    out.runs = 20'000;
    return out;
}

}  // namespace ladderline::fuzz
