// A club's own ladder, from a file or from an officer's event: all of it or nothing.

#include "node/domain/ladder/edition.hpp"
#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace domain;

void knock(ByteView input) {
    const Result<Edition> read = parse_edition(as_text(input));
    if (!read) return demand_sentence(read.error().sentence());
    const Result<Edition> again = parse_edition(to_text(read.value()));
    demand(again && again.value() == read.value(), "a ladder that is written reads back as it was");
    for (const Item& item : read.value().items) {
        demand(read.value().find(item.id) != nullptr, "an item is found by its number");
    }
    const std::string_view typed = as_text(input.first(std::min<std::size_t>(input.size(), 40)));
    static_cast<void>(find_by_input(read.value(), typed).has_value());
}

const std::string small =
    "#edition\tSmall\tfirst\tlocal-changes=no\towner=A made-up club\n"
    "# a remark\n"
    "stage\ttitle\twalker\n"
    "01\tHello\tnewcomer\n"
    "02\tOn the air\tmentor\n"
    "id\titem\tkind\tticks\tsigns\tevidence\tsafety\tnote\tgate\tapplies\trecheck\tonly-if-needed\n"
    "01.01\tSaid hello\tmilestone\tnewcomer\tmentor\tdate\tn\t\t\tall\t\tn\n"
    "02.01\tAntenna looked at\tskill\tmentor\tmentor\tdate\ty\tkeep clear of lines\texposure\tminor\tyearly\ty\n";

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {{"small", to_bytes(as_bytes(small))}, {"shipped", to_bytes(as_bytes(to_text(shipped_edition())))}};
    out.words = {"\t",
                 "\n",
                 "99",
                 "00.00",
                 "00.01\t",
                 "id\titem",
                 "stage\ttitle\twalker\n",
                 "\r",
                 "#",
                 "\xC3\xA9",
                 "local-changes=yes",
                 "owner="};
    out.runs = 6000;
    return out;
}

}  // namespace ladderline::fuzz
