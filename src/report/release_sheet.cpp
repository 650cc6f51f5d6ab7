#include "report/release_sheet.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "media/still.h"
#include "report/internal/paper_parts.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"
#include "report/internal/still_overlay.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

using namespace paper;

constexpr double kTallestPhoto = 150, kTallestStill = 135;
constexpr std::size_t kDigitsInTables = 16;

constexpr const char* kHowToRead =
    "A way is one start with one landing and one choice of the things that may be left out. A trial counts "
    "where "
    "it "
    "was ruled under the definition that holds now, or was judged by eye, on a rig with the items of the "
    "latest "
    "one; "
    "all others are set aside. A rate is cleared of those that came out cleared or failed; what is not shown "
    "counts as neither. Trials of one tester are not independent of each other: who reads a rate has to "
    "judge "
    "that. "
    "A question that was closed is open again once the station is defined otherwise.";
constexpr const char* kHowToVerify =
    "Whoever has the meet file can check this sheet: 'plumbmark trials MEETFILE' works all of it out anew, "
    "and "
    "'plumbmark verify MEETFILE' recomputes the journal's chain. A photograph is the one that was noted "
    "where its "
    "file has the SHA-256 that stands here.";

Sign sign_of(study::Standing standing) {
    switch (standing) {
        case study::Standing::proven:
            return Sign::disc;
        case study::Standing::open:
            return Sign::diamond;
        case study::Standing::changed:
            return Sign::square;
        case study::Standing::never_released:
            break;
    }
    return Sign::dash;
}

std::string signs_words(const meet::Release& release) {
    return plain(release.tester) + ", " + utc_words(release.signed_at_ms);
}

Block with_sign(Sign sign, std::vector<Words> words, double above = 0) {
    Paragraph paragraph{Style::body, std::move(words), sign};
    return {std::move(paragraph), above};
}

Block overview(const TrialsDocument& document) {
    Table table;
    table.columns = {{"station", 0, 2}, {"state", 0, 2}, {"released by", 0, 2.4}, {"open", 40, 0, true}};
    for (const TrialsStation& station : document.stations) {
        const study::ReleaseState& state = station.report.release;
        table.rows.push_back({plain(station.report.name), standing_words(state.standing).english(),
                              state.release ? signs_words(*state.release) : "",
                              std::to_string(station.report.open().size())});
    }
    return {std::move(table), 4};
}

class StationPart {
  public:
    StationPart(const TrialsDocument& document, const TrialsStation& station, std::size_t number)
        : document_(document), station_(station), report_(station.report), number_(number) {}

    std::vector<Block> all() {
        Paragraph name{Style::heading,
                       {{fmt::format("{} {}", number_, isolated(report_.name))}},
                       sign_of(report_.release.standing)};
        name.end = standing_words(report_.release.standing).english();
        out_.push_back({std::move(name), 14});
        releases();
        ways();
        rate();
        questions();
        rigs();
        return std::move(out_);
    }

  private:
    void say(Style style, std::string words, double above = 0) {
        out_.push_back(text_block(style, {{std::move(words)}}, above));
    }
    void title(const char* words) {
        out_.push_back(text_block(Style::subheading, {{words}}, 7));
        out_.back().leads = true;
    }

    void releases() {
        for (const base::Sentence& change : report_.release.changes)
            out_.push_back(with_sign(Sign::dot, {{plain(change.english())}}, 1));
        say(Style::fine, "Definition as it is now, SHA-256: " + report_.definition, 2);
        if (station_.releases.empty()) return say(Style::body, "Nobody has released this station.", 2);
        Table table;
        table.columns = {{"released by", 0, 2},
                         {"when", 0, 1.8},
                         {"definition", 0, 1.7},
                         {"rig", 30, 0, true},
                         {"note", 0, 2}};
        for (const meet::Release& release : station_.releases)
            table.rows.push_back({plain(release.tester), utc_words(release.signed_at_ms),
                                  release.definition.substr(0, kDigitsInTables),
                                  std::to_string(release.rig.value), plain(release.note)});
        out_.push_back({std::move(table), 3});
    }

    void ways() {
        title("Ways");
        say(Style::note, base::sentence_case(ways_words(report_.ways).english()) + ".");
        out_.back().leads = true;
        const bool choices = !report_.ways.optional_items.empty();
        Table table;
        table.columns = {{"start", 0, 2}, {"landing", 0, 2}};
        if (choices) table.columns.push_back({"left out", 0, 2});
        for (const char* count : {"tried", "cleared", "failed", "not shown"})
            table.columns.push_back({count, 54, 0, true});
        table.columns.push_back({"", 84, 0, true});
        for (const study::WayLine& line : report_.lines) {
            const auto start = document_.surfaces.find(line.way.start);
            std::vector<std::string> row{
                plain(start == document_.surfaces.end() ? line.way.start : start->second),
                landing_words(line.way, document_.surfaces).english()};
            if (choices) row.push_back(left_out_words(report_.ways, line.way, document_.surfaces).english());
            const study::Tally& tally = line.tally;
            for (const std::int64_t count : {tally.tried, tally.cleared, tally.failed, tally.not_shown})
                row.push_back(std::to_string(count));
            row.push_back(way_state_words(way_state(line)).english());
            table.rows.push_back(std::move(row));
        }
        out_.push_back({std::move(table), 2});
        if (report_.elsewhere.tried > 0)
            say(Style::note,
                "None of these ways, or nobody knows which: " + tally_words(report_.elsewhere).english() +
                    ".",
                2);
        if (report_.set_aside.tried > 0)
            say(Style::note,
                "Set aside, of another definition or rig: " + tally_words(report_.set_aside).english() + ".",
                2);
    }

    void rate() {
        title("Rate");
        say(Style::body, base::sentence_case(tally_words(report_.all).english()) + ".");
        say(Style::body,
            base::sentence_case(trial_rate_words(report_.rate, document_.wish.method).english()) + ".");
        for (const base::Sentence& line : outlook_words(report_, document_.wish))
            out_.push_back(with_sign(Sign::dot, {{line.english()}}));
        for (const study::GroupLine& group : report_.groups)
            out_.push_back(
                with_sign(Sign::dot, {{printable(group.name.english()) + ": " +
                                       trial_rate_words(group.rate, document_.wish.method).english()}}));
    }

    void questions() {
        title("Open questions");
        bool closed = false;
        if (report_.open().empty()) say(Style::body, "Nothing is open.");
        for (const study::Question& question : report_.questions) {
            if (question.closed.has_value() && !closed) title("Closed, with the reason that was given");
            closed = question.closed.has_value();
            add(question);
        }
    }
    void add(const study::Question& question) {
        const std::string place = question_place(document_, question).english();
        Group group;
        group.together = true;
        group.blocks.push_back(
            with_sign(question.closed ? Sign::dot : Sign::box,
                      {{plain(question.sentence.english()) + (place.empty() ? "" : " (" + place + ")")}}, 1));
        Group under;
        under.inset = 15;
        if (question.closed)
            under.blocks.push_back(
                text_block(Style::body, {{"Reason: ", true}, {isolated(*question.closed)}}));
        else if (question.closed_before)
            under.blocks.push_back(text_block(
                Style::note, {{"Closed for an earlier definition: " + isolated(*question.closed_before)}}));
        if (!question.closed) add_still(under, question);
        group.blocks.push_back({std::move(under)});
        out_.push_back({std::move(group), 1});
    }

    /// Once for all items that are about it.
    void add_still(Group& under, const study::Question& question) {
        const QuestionStill* still = still_of(station_, question);
        if (still == nullptr) return;
        if (std::find(shown_.begin(), shown_.end(), still) != shown_.end()) {
            under.blocks.push_back(text_block(Style::note, {{"Its picture stands above."}}));
            return;
        }
        std::string trouble = still->no_picture.english();
        if (still->picture) {
            auto jpeg = media::encode_jpeg(*still->picture, kStillQuality);
            if (jpeg) {
                shown_.push_back(still);
                const char* colour = still->part ? limb_colour(*still->part) : kNoLimbColour;
                Picture picture{
                    std::move(*jpeg),
                    still->picture->width,
                    still->picture->height,
                    still_overlay(*still->picture, still->outlines, still->spot, colour, true),
                    "Frame of the footage: " + plain(question_place(document_, question).english()),
                    kTallestStill};
                under.blocks.push_back({std::move(picture), 2});
                return;
            }
            trouble = jpeg.error().text();
        }
        if (!trouble.empty())
            under.blocks.push_back(text_block(Style::note, {{"No picture: " + plain(trouble)}}));
    }

    void rigs() {
        title("Rig");
        if (station_.rigs.empty()) return say(Style::body, "No rig of this station was written down.");
        // The one that holds stands first.
        for (auto rig = station_.rigs.rbegin(); rig != station_.rigs.rend(); ++rig)
            add(*rig, rig == station_.rigs.rbegin());
    }
    void add(const TrialsRig& told, bool latest) {
        Paragraph name{Style::body,
                       {{fmt::format("Rig {}", told.rig.id.value), true},
                        {latest ? ": as the station is set up now" : ": an earlier one"}}};
        out_.push_back({std::move(name), 3});
        out_.back().leads = true;
        std::string items;
        for (const meet::RigItem& item : told.rig.items)
            items += (items.empty() ? "" : "; ") + isolated(rig_item_words(item).english());
        say(Style::body, items.empty() ? "No item of it was written down." : items + ".");
        if (!told.rig.note.empty()) say(Style::body, isolated(told.rig.note));
        for (std::size_t i = 0; i < told.pictures.size(); i += 2) {
            Beside row;
            row.columns.push_back(photo(told.pictures[i]));
            row.columns.push_back(i + 1 < told.pictures.size() ? photo(told.pictures[i + 1])
                                                               : std::vector<Block>{});
            row.shares = {1, 1};
            out_.push_back({std::move(row), 4});
        }
    }
    static std::vector<Block> photo(const RigPicture& photo) {
        std::vector<Block> out;
        const std::string name = photo.file.empty() ? "(its name was erased)" : isolated(photo.file);
        std::string trouble = photo.no_picture.english();
        if (photo.picture) {
            auto jpeg = media::encode_jpeg(*photo.picture, kStillQuality);
            if (jpeg) {
                Picture picture{std::move(*jpeg),
                                photo.picture->width,
                                photo.picture->height,
                                {},
                                "Photograph of the rig: " + plain(photo.file),
                                kTallestPhoto};
                out.push_back({std::move(picture), 0, true});
            } else {
                trouble = jpeg.error().text();
            }
        }
        out.push_back(text_block(Style::note, {{name}}));
        if (!trouble.empty()) out.push_back(text_block(Style::note, {{"No picture: " + plain(trouble)}}));
        out.push_back(text_block(Style::fine, {{"SHA-256: " + photo.sha256}}));
        return out;
    }

    const TrialsDocument& document_;
    const TrialsStation& station_;
    const study::StationReport& report_;
    std::size_t number_;
    std::vector<const QuestionStill*> shown_;
    std::vector<Block> out_;
};

Block caution() {
    Group box;
    box.tinted = box.barred = true;
    box.blocks.push_back(text_block(Style::note, {{"Caution. ", true}, {study::release_notice().english()}}));
    return {std::move(box)};
}

void add_end(std::vector<Block>& out, const TrialsDocument& document) {
    for (const std::string& key : document.unknown_stations)
        out.push_back(text_block(Style::note,
                                 {{"The course book has no station " + isolated(key) +
                                   " (any more); what was entered for it is kept in the meet file."}},
                                 6));
    Group signing;
    signing.together = true;
    signing.blocks.push_back(heading("Signed"));
    const auto line = [](const std::string& under) {
        return std::vector<Block>{{Line{}}, text_block(Style::note, {{under}})};
    };
    for (const char* who :
         {"Course tester, releases what stands here as proven", "Head judge, has seen it"}) {
        Beside row;
        row.columns = {line(who), line("Date and time")};
        row.shares = {1.25, 1};
        signing.blocks.push_back({std::move(row), 24});
    }
    out.push_back({std::move(signing), 8});
    out.push_back(heading("How to read it"));
    out.push_back(text_block(Style::fine, {{kHowToRead}}));
    out.push_back(text_block(Style::fine, {{kHowToVerify}}, 2));
    if (!document.faces.empty()) out.push_back(text_block(Style::fine, {{plain(document.faces)}}, 2));
}

}  // namespace

base::Result<std::string> release_sheet_pdf(const TrialsDocument& document, PaperSize size) {
    Sheet sheet;
    sheet.title = joined_names({"Station releases", plain(document.meet_name)}, ": ");
    sheet.maker = "Plumbmark " + document.program_version;
    sheet.foot = joined_names({"Station releases", plain(document.meet_name), plain(document.date),
                               "course book revision " + plain(document.book_revision)},
                              ", ");
    sheet.top.push_back(caution());
    sheet.blocks =
        head({document.meet_name, {document.venue, document.date}},
             {"Station releases", {document.book_name, "course book revision " + document.book_revision}});
    sheet.blocks.push_back(text_block(Style::title, {{"What the trials prove of each station"}}, 8));
    if (document.stations.empty())
        sheet.blocks.push_back(text_block(Style::body, {{"The course book has no station."}}, 6));
    else
        sheet.blocks.push_back(overview(document));
    for (std::size_t i = 0; i < document.stations.size(); ++i)
        for (Block& block : StationPart(document, document.stations[i], i + 1).all())
            sheet.blocks.push_back(std::move(block));
    add_end(sheet.blocks, document);
    return make_pdf(sheet, size);
}

}  // namespace plumbmark::report
