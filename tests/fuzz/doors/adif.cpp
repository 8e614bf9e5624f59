// A log that somebody exported elsewhere. Whatever the bytes: contacts in range, one sentence for each problem, and
// what is written from the contacts reads back as the same contacts.

#include "node/domain/radio/adif.hpp"

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace domain;

bool is_plain(std::string_view text) {
    return std::all_of(text.begin(), text.end(), [](char c) { return c >= 32 && c < 127; });
}

bool is_plain(const LogEntry& e) {
    const std::array<std::string_view, 9> texts{e.call,          e.mode.mode,    e.mode.submode,
                                                e.rst_sent,      e.rst_received, e.station_callsign,
                                                e.operator_call, e.gridsquare,   e.comment};
    return std::all_of(texts.begin(), texts.end(), [](std::string_view text) { return is_plain(text); });
}

void knock(ByteView input) {
    const Log log = read_log(as_text(input));
    for (const AdifProblem& problem : log.problems) {
        demand_sentence(problem.sentence);
        demand(problem.byte_position <= input.size(), "a problem lies within the file");
    }
    std::vector<LogEntry> plain;
    for (const LogEntry& e : log.entries) {
        demand(!e.call.empty() && !e.mode.mode.empty(), "a contact has a call sign and a mode");
        demand(e.frequency_hz || e.band != nullptr, "a contact has a frequency or a band");
        demand(is_utf8(e.call) && is_utf8(e.comment), "what is kept is text");
        if (is_plain(e)) plain.push_back(e);
    }
    const AdifWriter writer{"Ladderline", "1", {1'764'097'500'000}};
    const Log again = read_log(write_adi(writer, plain));
    demand(again.entries == plain, "a log that is written reads back as it was");
}

std::string contact(const std::string& call, const std::string& more) {
    return "<CALL:" + std::to_string(call.size()) + ">" + call +
           "<QSO_DATE:8>20261125<TIME_ON:6>190507<BAND:3>20m<MODE:3>SSB" + more + "<EOR>\r\n";
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    const std::string header = "A made-up log\r\n<ADIF_VER:5>3.1.7<PROGRAMID:4>none\r\n<EOH>\r\n";
    const auto seed = [&](const std::string& name, const std::string& text) {
        out.seeds.push_back({name, to_bytes(as_bytes(text))});
    };
    seed("two_contacts", header + contact("KD0XAA", "<FREQ:6>14.074") + contact("QQ1ABC/P", "<RST_SENT:2>59"));
    seed("no_header", contact("KD0XAA", "<GRIDSQUARE:6>JN58td<COMMENT:11>first <EOR>"));
    seed("spoiled", contact("KD0XAA", "<COMMENT:900>too long") + contact("KF1XQB", "") + "<CALL:4>QQ1");
    seed("submode", contact("KF1XQB", "<SUBMODE:3>FT4<OPERATOR:6>QQ1ABC<X:1:N>7"));
    out.words = {"<EOR>",   "<eor>", "<EOH>", "<CALL:", "<MODE:2>CW",      "<FREQ:",       "<BAND:3>2m",
                 ":60000>", ":0>",   ">",     ":S>",    "<TIME_ON:4>2400", "\xEF\xBB\xBF", "99999999999999999999"};
    out.runs = 8000;
    return out;
}

}  // namespace ladderline::fuzz
