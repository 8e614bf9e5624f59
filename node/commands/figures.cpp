#include "node/commands/figures.hpp"

#include <algorithm>
#include <map>

#include "node/commands/study_pools.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

// Both parts of the choice are set.
std::string figure_setting(const PoolChoice& pool, std::string_view name) {
    return "figure:" + std::to_string(*pool.element) + ":" + std::to_string(*pool.edition) + ":" + std::string(name);
}

// By the first bytes, never by a file's name: ISO/IEC 15948 (PNG), ITU-T T.81 (JPEG), GIF89a, and the RIFF container of
// WebP. Drawings that can hold a program (SVG) are left out.
std::string picture_type(ByteView image) {
    const std::string_view text = as_text(image);
    if (text.starts_with("\x89PNG\r\n\x1a\n")) return "image/png";
    if (text.starts_with("\xff\xd8\xff")) return "image/jpeg";
    if (text.starts_with("GIF87a") || text.starts_with("GIF89a")) return "image/gif";
    constexpr std::size_t webp_at = 8;
    if (text.starts_with("RIFF") && text.substr(std::min(webp_at, text.size())).starts_with("WEBP"))
        return "image/webp";
    return {};
}

std::map<std::string, std::size_t> named_in(const domain::Pool& pool) {
    std::map<std::string, std::size_t> out;
    for (const domain::PoolQuestion& question : pool.questions) {
        if (!question.figure.empty()) out[question.figure] += 1;
    }
    return out;
}

std::string known_words(const std::map<std::string, std::size_t>& named) {
    if (named.empty()) return "none of its questions names a figure";
    std::string out;
    for (const auto& [name, count] : named) out += (out.empty() ? "its questions name " : ", ") + name;
    return out;
}

}  // namespace

Result<Figure> figure(Context& context, const PoolChoice& choice, std::string_view name) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    TRY(auto image, store::get_setting(context.db, figure_setting(study.choice(), name)));
    if (!image) return Error{Fault::not_found, "There is no picture of figure " + std::string(name) + " here."};
    return Figure{picture_type(*image), std::move(*image)};
}

Result<bool> has_figure(Context& context, const ShownQuestion& question) {
    if (question.figure.empty()) return false;
    TRY(const auto here, store::setting_names(context.db, figure_setting(question.from, question.figure)));
    return std::find(here.begin(), here.end(), figure_setting(question.from, question.figure)) != here.end();
}

Result<std::vector<FigureLine>> figures(Context& context, const PoolChoice& choice) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    TRY(const auto here, store::setting_names(context.db, figure_setting(study.choice(), "")));
    std::vector<FigureLine> out;
    for (const auto& [name, count] : named_in(study.pool)) {
        const bool is_here = std::find(here.begin(), here.end(), figure_setting(study.choice(), name)) != here.end();
        out.push_back({name, count, is_here});
    }
    return out;
}

Result<std::string> add_figure(Context& context, const PoolChoice& choice, std::string_view name, ByteView image) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    const auto named = named_in(study.pool);
    const auto found = named.find(std::string(name));
    if (found == named.end()) {
        return Error{Fault::bad_input, "The pool of element " + std::to_string(study.pool.element) +
                                           " has no figure '" + std::string(name) + "': " + known_words(named) +
                                           "; nothing was kept."};
    }
    if (image.size() > figure_bytes_max) {
        return Error{Fault::bad_input,
                     "A picture has at most " + std::to_string(figure_bytes_max >> 20) + " MB; nothing was kept."};
    }
    if (picture_type(image).empty()) {
        return Error{Fault::bad_input, "That is no PNG, JPEG, GIF or WebP picture; nothing was kept."};
    }
    TRY(store::put_setting(context.db, figure_setting(study.choice(), name), image));
    return "Figure " + found->first + " is here now; " + std::to_string(found->second) +
           (found->second == 1 ? " question shows it." : " questions show it.");
}

}  // namespace ladderline::node
