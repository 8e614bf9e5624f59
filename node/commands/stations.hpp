#pragma once
// Stations of the own desk, each with its exposure worksheet: kept, and to be looked at again when something about the
// station changed or the rules did. Nobody else sees them; the item of the way says that a sheet is kept, and no more.

#include "node/commands/way.hpp"
#include "node/commands/worksheet.hpp"

namespace ladderline::node {

// A station as its owner describes it.
struct StationSheet {
    std::string name;
    std::string antenna;  // in words
    std::string place;    // in words
    domain::Transmission transmission;
    std::string mode = "fm";         // of mode_duties(); decides about transmission.mode_duty
    double distance_m = 0;           // how near people come
    std::optional<double> height_m;  // lowest part of the antenna above the ground
};

// Works the sheet out and keeps it under that name, in the place of an earlier one.
Result<Done> keep_sheet(Context& context, const StationSheet& sheet);
// Something about the station is otherwise now and was not worked out yet: the sheet stays and is to be looked at
// again, and so are the items of the own way that a change of power, antenna or place re-opens, or, where only
// frequency, mode or time on the air are otherwise, the exposure items among them. not_found without such a station;
// bad_input where nothing is otherwise.
Result<Done> note_change(Context& context, const StationSheet& now);
// The station is no more.
Result<Done> forget_station(Context& context, std::string_view name);

struct StationView {
    StationSheet now;                     // as it was described last
    std::optional<StationSheet> sheet;    // as it was when it was worked out; none: never
    std::optional<Worksheet> worked;      // of that sheet
    Day worked_on;                        // goes with `worked`
    std::vector<std::string> look_again;  // why it is to be looked at again, one sentence each; empty: it stands
};
// By name. Never one that is no more.
Result<std::vector<StationView>> stations(Context& context);
// By name, any case; not_found names those that there are.
Result<StationView> find_station(Context& context, std::string_view name);

}  // namespace ladderline::node
