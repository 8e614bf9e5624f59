#pragma once
// Deadlines and arranged contacts as one calendar that a calendar program on this machine reads by itself, under an
// address that holds a secret.

#include <string>

#include "node/commands/context.hpp"

namespace ladderline::node {

// 64 hexadecimal digits; empty: there is no feed.
Result<std::string> feed_secret(Context& context);
// The secret, made if there was none; `anew`: another one, so that the former address leads nowhere.
Result<std::string> open_feed(Context& context, bool anew);
Result<Done> shut_feed(Context& context);

// Of every way that this node shows, its owner's name before each entry (RFC 5545).
Result<std::string> feed_calendar(Context& context);

}  // namespace ladderline::node
