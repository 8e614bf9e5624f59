#pragma once
// The tables of an export, made in memory from what pages and commands show.

#include "node/commands/export.hpp"
#include "store/read_model/read_model.hpp"

namespace ladderline::node {

struct PlainFile {
    std::string name;
    std::string text;
};
// Every file but those that grow with the number of events. Fills the counts of its own tables.
Result<std::vector<PlainFile>> export_tables(Context& context, ExportCounts& counts);

// notes.csv and answers.csv are gathered event by event: 1 if a line was added.
std::string notes_header();
std::size_t add_note(const store::OpenedEvent& event, const std::string& author, std::string& table);
std::string answers_header();
std::size_t add_answer(const store::OpenedEvent& event, std::string& table);

}  // namespace ladderline::node
