#pragma once
// The pages on their owner's telephone, as commands see them.

#include "node/cli/command_line.hpp"
#include "node/web/phone/phone_door.hpp"

namespace ladderline::node {

// This machine's addresses as the system has them now.
std::vector<web::OwnAddress> own_addresses();

// Opens, shuts or shows. The link is in the answer until it is used.
Result<cli::Answer> answer_about_phone(web::PhoneDoor& door, const cli::PhoneRequest& request);

}  // namespace ladderline::node
