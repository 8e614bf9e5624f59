#pragma once
// Old records of the club on this node: what somebody showed who has left, once no consent stands for it, and rows of
// members whose consent is over. They are taken off every page, table and export of this node; the sealed lines stay in
// the chain, and a bare mark with a day stays beside them.

#include <span>

#include "node/commands/context.hpp"

namespace ladderline::node {

struct OldRecords {
    protocol::MemberId person;
    std::string name;  // as they were let in
    bool left = false;
    int records = 0;  // cards, rows and the like that this node still shows or keeps readable
    std::string sentence;
};
// Officers only; by name.
Result<std::vector<OldRecords>> old_people(Context& context);
// Of those people. They come with 0: a page of a big club shows a part of them, and to count takes long.
Result<void> count_records(Context& context, std::span<OldRecords> some);
// Both.
Result<std::vector<OldRecords>> old_records(Context& context);
// All of them, for good on this node. Said anew by their author later, such things show again.
Result<Done> drop_old_records(Context& context);

}  // namespace ladderline::node
