// The log as files: one of another program taken in, and the whole log given out.

#include "node/commands/log_files.hpp"
#include "node/web/pages/contact_parts.hpp"

namespace ladderline::node::web {
namespace {

Result<Response> file_page(const Scene& scene) {
    const FormOn form(scene, "file");
    Html inside = hidden("form", "file");
    inside += file_row(form.required("file", "A log in ADI form", "",
                                     "Other logging programs write it; its name mostly ends in .adi. Larger than 8 MB: "
                                     "ladderline contact --from-adi FILE."),
                       ".adi,.adif,.txt");
    inside +=
        call_row(form.field("guest_of", "All of it as a guest: call sign of the licensed operator in control", "",
                            "Leave it empty if the file says so itself, or if you sent under your own call sign."));
    inside += check_row(form.field("another", "Whatever looks like a contact in the log is another one"));
    inside += button("Take it in");
    Page content;
    content.title = "A log file";
    const Told* told = told_of(scene);
    if (told != nullptr) content.main += told->body;
    content.main += file_form(scene.request, url("/contact/file"), inside);
    content.side = html(
        "<h2>What happens</h2><p>Every record that is right is written down, once. Records that are not are named, "
        "with "
        "their place in the file; the file itself is not changed.</p><p><a href=\"{}\">All contacts</a></p>",
        url("/contact"));
    return show(scene, std::move(content), Live::no);
}

Html sentences_part(const char* title, const std::vector<std::string>& sentences) {
    if (sentences.empty()) return Html();
    constexpr std::size_t sentences_max = 100;
    Html items;
    for (std::size_t i = 0; i < sentences.size() && i < sentences_max; ++i) items.add("<li>{}</li>", sentences[i]);
    if (sentences.size() > sentences_max) {
        items.add("<li>and {} more; the command ladderline contact --from-adi names all of them</li>",
                  sentences.size() - sentences_max);
    }
    return html("<section><h2>{}</h2><ul>{}</ul></section>", title, items);
}

Html left_out_part(const ImportedLog& log) {
    Html out;
    if (!log.unused_fields.empty()) {
        Html names;
        for (const std::string& name : log.unused_fields) names.add(" {}", name);
        out.add("<p>There is no place here for these fields; keep the file for them:{}</p>", names);
    }
    out += sentences_part("Left out", log.left_out);
    out += sentences_part("Written down, but not whole", log.shortened);
    return out;
}

Result<Response> file_sent(const Scene& scene) {
    const FormOn form(scene, "file");
    const SentFile* file = scene.request.file(form.key("file"));
    if (file == nullptr) return file_page(scene.back({400, "Choose a file first; nothing was taken in.", "file"}));
    const auto log = import_adi(scene.context(), {file->bytes, form.text("guest_of"), form.text("another") == "yes"});
    if (!log) return file_page(scene.back(refusal_of(log.error(), "file")));
    const ImportedLog& done = log.value();
    std::string sentence = std::to_string(done.added) + " written down, " + std::to_string(done.known) +
                           " were in the log, " + std::to_string(done.left_out.size()) + " left out.";
    if (done.as_guest > 0) sentence += " As somebody's guest: " + std::to_string(done.as_guest) + ".";
    return redirect(url("/contact/file?said={}", scene.say(Told{sentence, {}, left_out_part(done)})));
}

Result<Response> adi_file(const Scene& scene) {
    TRY(LogFiles files, own_log_files(scene.context()));
    return download("log.adi", "text/plain; charset=us-ascii", std::move(files.adi));
}

Result<Response> csv_file(const Scene& scene) {
    TRY(LogFiles files, own_log_files(scene.context()));
    return download("log.csv", "text/csv; charset=utf-8", std::move(files.csv));
}

}  // namespace

void add_contact_file_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/contact/file", file_page);
    on_post(router, house, "/contact/file", file_sent);
    on_get(router, house, "/contact/log.adi", adi_file);
    on_get(router, house, "/contact/log.csv", csv_file);
}

}  // namespace ladderline::node::web
