#pragma once
// An event as one line of JSON with the names of its fields, for reading without this program.

#include <string>

#include "store/read_model/read_model.hpp"

namespace ladderline::node {

// "tick", "sign", ...; "kind 99" for one that this program does not know.
std::string kind_word(std::uint16_t kind);

// {"id","circle","log","seq","author","time","kind","supersedes","body"}. `author`: the member in hex, empty if
// unknown. Ids are hex, days and times ISO 8601 in UTC. A body that cannot be read here is {"hex": "..."}: nothing is
// left out.
std::string event_line(const store::OpenedEvent& event, const std::string& author);

}  // namespace ladderline::node
