// The athlete's page: one run laid open for the athlete and the coach, with its ruling, its figures against
// others', a coach's notes with their pictures, and plots. Plain values: no database, no clip and no clock.
// The text, the page and the PDF are written from the same document, so that they cannot say different
// things.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "media/picture.h"
#include "report/compare_document.h"
#include "report/paper_size.h"
#include "report/ruling_document.h"

namespace plumbmark::report {

/// What a coach says to a frame.
struct PageNote {
    std::string clip;        ///< "camera A"
    std::int64_t frame = 0;  ///< numbered from 0 in its clip
    base::Time at;           ///< of the frame, on the clip's clock
    std::string text;        ///< as it was typed; may have several lines, may be empty
    std::optional<media::RgbaImage>
        picture;                ///< of the frame, where it is wanted, faces hidden as the meet asks
    base::Sentence no_picture;  ///< why there is none where it is wanted
    std::string short_clip;     ///< name of the file that shows it; empty: none was made
};

struct AthletePage {
    /// Meet, run, athlete (a name only where it may leave the meet), ruling and clips.
    RulingDocument ruling;
    /// The run, and what it is held against. Its book has the stations of ruling.book.
    CompareDocument figures;
    /// The run as A beside one other run each, for what was lost between two events.
    std::vector<CompareDocument> beside;
    std::vector<PageNote> notes;  ///< in order of time
    std::string faces;            ///< how faces were kept from the pictures, a sentence; empty: no pictures
};

/// For a terminal, or a list of the window: the ruling, what was lost where, each station with its figures,
/// the notes. Every figure stands with its bounds and doubts. Texts of the meet are put through
/// internal/plain.h. Pure.
[[nodiscard]] std::vector<StudyLine> athlete_page_lines(const AthletePage& page);
[[nodiscard]] std::string athlete_page_text(const AthletePage& page);

/// One page of HTML that needs nothing but itself: style inline, pictures as data, plots as drawings, no
/// script, nothing fetched. All names and notes are inert text. Any thread.
[[nodiscard]] std::string athlete_page_html(const AthletePage& page);

/// The same as a PDF, as ruling_sheet_pdf() makes one, on as many pages as it takes. The same page gives the
/// same bytes where the same fonts are installed. Error io when it cannot be drawn. Any thread.
[[nodiscard]] base::Result<std::string> athlete_page_pdf(const AthletePage& page,
                                                         PaperSize size = PaperSize::a4);

}  // namespace plumbmark::report
