#pragma once
// A contact as a form has it: for the newcomer's own list and for a change.

#include "node/commands/contacts.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// Usual modes, and `present` where it is none of them.
std::vector<Choice> contact_modes(const std::string& present);
std::vector<Choice> contact_bands();
std::vector<Choice> contact_ways_through();

// All rows of a contact; `start` is what they begin with. The box "it is another contact" is there only where the form
// came back for it.
Html contact_rows(const FormOn& form, const Scene& scene, const ContactRequest& start, bool licensed);
// What was typed there.
Result<ContactRequest> contact_typed(const FormOn& form, const Viewer& viewer);
// Why the form comes back: the box where a contact in the log looks the same.
Refusal refusal_of_contact(const Scene& scene, const ContactRequest& request, const Error& error);
// The box, for forms of their own; empty where the form did not come back for it.
Html another_row(const FormOn& form, const Scene& scene);

// UTC with the own time beside it: when the page was made, and going on where scripts run.
Html now_clocks(const Scene& scene);

// --- Pages below /contact, added with it.
void add_contact_change_pages(Router& router, const std::shared_ptr<House>& house);
void add_contact_file_pages(Router& router, const std::shared_ptr<House>& house);
void add_contact_line_pages(Router& router, const std::shared_ptr<House>& house);

}  // namespace ladderline::node::web
