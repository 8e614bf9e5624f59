// The question pools of this store: taken in, their editions, and pictures of their figures.

#include "node/commands/figures.hpp"
#include "node/web/pages/frame.hpp"
#include "node/web/pages/pool_address.hpp"
#include "protocol/base/bytes.hpp"

namespace ladderline::node::web {
namespace {

std::string span_words(const PoolSummary& pool) {
    if (pool.valid_from && pool.valid_until) {
        return "for exams from " + to_iso(*pool.valid_from) + " to " + to_iso(*pool.valid_until);
    }
    if (pool.valid_from) return "for exams from " + to_iso(*pool.valid_from) + " on";
    if (pool.valid_until) return "for exams until " + to_iso(*pool.valid_until);
    return "without printed dates";
}

Html pool_table(const std::vector<PoolSummary>& all) {
    Table out;
    out.caption = "Pools here";
    out.columns = {"Pool", "Questions", "Valid", ""};
    for (const PoolSummary& pool : all) {
        std::string note = pool.counts ? "counts for your exam" : "";
        if (!pool.caution.empty()) note += (note.empty() ? "" : "; ") + std::string("not in force today");
        out.rows.push_back(
            {html("<a href=\"{}\">{}</a>", url("/practise/pools?pool={}", pool_word(pool.which)),
                  pool.title + (*pool.which.edition > 0 ? ", " + std::to_string(*pool.which.edition) : "")),
             html("{}", pool.questions), text(span_words(pool)), text(note)});
    }
    return table(out);
}

Html import_form(const Scene& scene) {
    const FormOn form(scene, "pool");
    Html inside = hidden("form", "pool");
    inside += file_row(form.required("file", "Text file of a published pool", "",
                                     "The text version, not the one for a word processor. It is taken in whole or not "
                                     "at all."),
                       ".txt,text/plain");
    inside += button("Take it in");
    return html("<section><h2>Take in a pool</h2>{}</section>",
                file_form(scene.request, url("/practise/pools"), inside));
}

Html figure_rows(const Scene& scene, const PoolChoice& pool, const std::vector<FigureLine>& lines) {
    Html out;
    for (const FigureLine& line : lines) {
        const Html picture = line.is_here ? figure_picture(pool, line.name)
                                          : html("<p class=\"empty\">Its picture is not here yet.</p>");
        out.add("<li><p>Figure {}, in {} question{}</p>{}</li>", line.name, line.questions,
                line.questions == 1 ? "" : "s", picture);
    }
    const FormOn form(scene, "figure");
    std::vector<Choice> names;
    for (const FigureLine& line : lines) names.push_back({line.name, "Figure " + line.name});
    Html inside = hidden("form", "figure");
    inside += hidden("pool", pool_word(pool));
    inside += list_row(form.required("name", "Which figure"), names);
    inside += file_row(form.required("file", "Its picture", "", "PNG, JPEG, GIF or WebP, at most 4 MB."), "image/*");
    inside += button("Keep it");
    return html("<ul class=\"links\">{}</ul>{}", out, file_form(scene.request, url("/practise/pools"), inside));
}

Result<Response> pools_page_of(const Scene& scene, const PoolChoice& asked) {
    TRY(const PoolChoice pool, pool_meant(scene.context(), asked));
    TRY(const auto all, pools(scene.context()));
    TRY(const auto lines, figures(scene.context(), pool));
    Page content;
    content.title = "Question pools";
    content.main = pool_table(all);
    content.main += import_form(scene);
    if (!lines.empty()) {
        content.main += html("<section><h2>Figures</h2>{}</section>", figure_rows(scene, pool, lines));
    }
    content.side = html(
        "<h2>Which pool</h2><p>Pools are published by the committee of the exam coordinators, for a few years each. Of "
        "two editions the one that is valid on your exam day is practised. Its pictures are published beside it. All "
        "of "
        "it stays in your own store.</p><p><a href=\"{}\">Practise</a></p>",
        url("/practise"));
    return show(scene, std::move(content), Live::no);
}

Result<Response> pools_page(const Scene& scene) {
    return pools_page_of(scene, pool_asked(scene.request.query));
}

std::string imported_words(const PoolSummary& pool) {
    std::string out = pool.title + ": " + std::to_string(pool.questions) + " questions, " + span_words(pool) + ".";
    if (pool.corrected > 0) {
        out += " In " + std::to_string(pool.corrected) + " the right answer changed; they count as not seen.";
    }
    if (pool.carried_over > 0) {
        out += " " + std::to_string(pool.carried_over) + " read as in another edition here; answers count for both.";
    }
    return out + (pool.caution.empty() ? "" : " " + pool.caution);
}

Result<Response> file_sent(const Scene& scene) {
    const FormOn form = FormOn::sent(scene);
    const PoolChoice pool = pool_asked(scene.request.form);
    const SentFile* file = scene.request.file(form.key("file"));
    if (file == nullptr) {
        return pools_page_of(scene.back({400, "Choose a file first; nothing was taken in.", "file"}), pool);
    }
    if (scene.request.form.get("form") == "figure") {
        const auto kept = add_figure(scene.context(), pool, form.text("name"), as_bytes(file->bytes));
        if (!kept) return pools_page_of(scene.back(refusal_of(kept.error(), "file")), pool);
        return redirect(url("/practise/pools?pool={}&said={}", pool_word(pool), scene.say(Told{kept.value()})));
    }
    const auto read = import_pool(scene.context(), file->bytes);
    if (!read) return pools_page_of(scene.back(refusal_of(read.error(), "file")), pool);
    return redirect(url("/practise/pools?pool={}&said={}", pool_word(read.value().which),
                        scene.say(Told{imported_words(read.value())})));
}

Result<Response> figure_asked(const Scene& scene) {
    TRY(const Figure found, figure(scene.context(), pool_asked(scene.request.query), scene.request.query.text("name")));
    Response out;
    out.content_type = found.content_type;
    out.body = std::string(as_text(found.image));
    return out;
}

}  // namespace

void add_pool_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/practise/pools", pools_page);
    on_post(router, house, "/practise/pools", file_sent);
    on_get(router, house, "/practise/figure", figure_asked);
}

}  // namespace ladderline::node::web
