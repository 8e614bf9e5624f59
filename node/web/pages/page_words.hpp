#pragma once
// Sentences of commands as a page says them: where one names a command whose deed a page does, the page is named
// instead. What only the command line does stays as it is.

#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// With a link to each such page.
Html page_words(const Viewer& viewer, std::string_view sentence);
// The same without links, for the line beside a field.
std::string page_words_plain(const Viewer& viewer, std::string_view sentence);

}  // namespace ladderline::node::web
