#pragma once
// Forms that bring files: multipart/form-data (RFC 7578; the grammar of parts is RFC 2046, 5.1).

#include "node/web/request.hpp"

namespace ladderline::node::web {

// Whether a Content-Type names such a form.
bool brings_files(std::string_view content_type);

struct Multipart {
    Fields fields;
    std::vector<SentFile> files;  // in the order they came; a file field that was left empty is not in it
};
// Damage, text that is no UTF-8, or more than fits: bad_input.
Result<Multipart> parse_multipart(std::string_view content_type, std::string_view body, const FormLimits& limits = {});

}  // namespace ladderline::node::web
