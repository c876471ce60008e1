//! What paper will take from each piece, in one plain sentence each.

use book::PieceInks;
use book::plan::ReaderPage;
use colour::Compensation;

use crate::paper::Paper;
use crate::{ArtReport, Desk, DeskError, Loss, Watch};

/// Judges all art and says what is lost.
pub(crate) fn run(desk: &Desk, watch: &dyn Watch) -> Result<Vec<Loss>, DeskError> {
    let report = desk.judge(watch)?;
    losses(desk, &report)
}

/// The losses if all art is judged already.
pub(crate) fn known(desk: &Desk) -> Result<Option<Vec<Loss>>, DeskError> {
    desk.judged()?
        .map(|report| losses(desk, &report))
        .transpose()
}

fn losses(desk: &Desk, report: &ArtReport) -> Result<Vec<Loss>, DeskError> {
    let snapshot = desk.snapshot()?;
    let paper = Paper::of(&snapshot.book);
    let mut all: Vec<Loss> = report
        .pieces
        .iter()
        .map(|judged| {
            let mut loss = Loss {
                piece: judged.piece.clone(),
                pages: snapshot
                    .plan
                    .pages_with(&judged.piece)
                    .collect::<Vec<ReaderPage>>(),
                sentence: String::new(),
                separated_already: judged.separated_already,
                mean_lost: judged.mean_lost,
                out_of_reach: judged.out_of_reach,
                out_of_reach_by: judged.out_of_reach_by,
                out_of_reach_bands: judged.out_of_reach_bands,
                shadow_fills: judged.shadow_fills,
                highlight_fades: judged.highlight_fades,
                ink_most: judged.ink_most,
            };
            loss.sentence = sentence(&loss, paper.treatment(&judged.piece).inks);
            loss
        })
        .collect();
    // In the order of the pages; what stands on none comes last.
    all.sort_by_key(|loss| loss.pages.first().map_or(u32::MAX, |page| page.0));
    Ok(all)
}

/// Shares below this are not worth a word: our assumption, half a percent of a page.
const SEEN: f64 = 0.005;
/// Mean ΔE00 up to which a picture as a whole looks the same; our assumption, about what is seen
/// side by side only.
const ALIKE: f64 = 2.0;
/// Mean ΔE00 above which art in few inks had colours to lose; greys in two inks change by less, for
/// their tint. Our assumption.
const COLOURS: f64 = 8.0;

/// What will be lost, as one plain sentence.
fn sentence(loss: &Loss, inks: PieceInks) -> String {
    let few = match inks {
        PieceInks::ByLook | PieceInks::Four => None,
        PieceInks::Black => Some("black ink alone"),
        other => Some(other.word()),
    };
    if loss.separated_already {
        let how = match few {
            Some(few) => format!("It prints in {few}"),
            None => "Its inks are only fitted to this press".to_owned(),
        };
        return format!(
            "It came separated already, as CMYK: by whom, for which press, and what that took of its \
             colours is not known. {how}."
        );
    }
    let mut parts = Vec::new();
    if let Some(few) = few {
        let colours = if loss.mean_lost > COLOURS {
            ", so that its colours become greys"
        } else {
            ""
        };
        parts.push(format!("it prints in {few}{colours}"));
    } else if loss.out_of_reach >= SEEN {
        let how = match loss.out_of_reach_by {
            by if by < 6.0 => "a little duller",
            by if by < 12.0 => "clearly duller",
            _ => "far duller",
        };
        parts.push(format!(
            "{} of it{} is beyond this press and will print {how}",
            share(loss.out_of_reach),
            mostly(&loss.out_of_reach_bands, loss.out_of_reach)
        ));
    }
    if loss.shadow_fills >= SEEN {
        parts.push(format!(
            "detail in the dark parts, {} of the picture, will fill in",
            share(loss.shadow_fills)
        ));
    }
    if loss.highlight_fades >= SEEN {
        parts.push(format!(
            "detail in the lightest parts, {} of the picture, will fade to bare paper",
            share(loss.highlight_fades)
        ));
    }
    if parts.is_empty() {
        return if loss.mean_lost <= ALIKE {
            "Nothing that the eye would miss.".to_owned()
        } else {
            format!(
                "No part of it stands out, but as a whole it changes a little (ΔE00 {:.1} on \
                 average).",
                loss.mean_lost
            )
        };
    }
    format!("{}.", finding::capital(&parts.join("; ")))
}

/// `about 12 %`, `less than 1 %`, `nearly all`.
fn share(share: f64) -> String {
    match share * 100.0 {
        percent if percent < 1.0 => "less than 1 %".to_owned(),
        percent if percent > 97.0 => "nearly all".to_owned(),
        percent => format!("about {percent:.0} %"),
    }
}

/// `, mostly blues and greens,`: the one or two bands that hold most of a share.
fn mostly(bands: &[f64; 6], whole: f64) -> String {
    let mut ranked: Vec<(f64, &str)> = bands.iter().copied().zip(Compensation::BANDS).collect();
    ranked.sort_by(|one, other| other.0.total_cmp(&one.0));
    let plural = |name: &str| format!("{name}s");
    match ranked[..] {
        [(first, one), ..] if first >= 0.6 * whole => format!(", mostly {},", plural(one)),
        [(first, one), (second, two), ..] if first + second >= 0.6 * whole => {
            format!(", mostly {} and {},", plural(one), plural(two))
        }
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loss() -> Loss {
        Loss {
            piece: "sea.png".to_owned(),
            pages: vec![],
            sentence: String::new(),
            separated_already: false,
            mean_lost: 1.0,
            out_of_reach: 0.0,
            out_of_reach_by: 0.0,
            out_of_reach_bands: [0.0; 6],
            shadow_fills: 0.0,
            highlight_fades: 0.0,
            ink_most: 250.0,
        }
    }

    #[test]
    fn what_is_lost_is_said_with_its_colours_and_how_much() {
        let lost = Loss {
            out_of_reach: 0.12,
            out_of_reach_by: 7.0,
            out_of_reach_bands: [0.0, 0.0, 0.04, 0.01, 0.07, 0.0],
            shadow_fills: 0.031,
            ..loss()
        };
        assert_eq!(
            sentence(&lost, PieceInks::ByLook),
            "About 12 % of it, mostly blues and greens, is beyond this press and will print clearly \
             duller; detail in the dark parts, about 3 % of the picture, will fill in."
        );
    }

    #[test]
    fn few_inks_are_said_instead_of_the_colours_they_give_up() {
        let lost = Loss {
            out_of_reach: 0.9,
            out_of_reach_by: 20.0,
            mean_lost: 18.0,
            ..loss()
        };
        assert_eq!(
            sentence(&lost, PieceInks::BlackAndYellow),
            "It prints in black and yellow, so that its colours become greys."
        );
        assert_eq!(
            sentence(&loss(), PieceInks::Black),
            "It prints in black ink alone."
        );
    }

    #[test]
    fn of_art_that_came_as_inks_no_loss_is_claimed_and_none_is_denied() {
        let inks = Loss {
            separated_already: true,
            mean_lost: 0.0,
            ..loss()
        };
        let said = sentence(&inks, PieceInks::ByLook);
        assert!(
            said.starts_with("It came separated already, as CMYK: by whom")
                && said.ends_with("not known. Its inks are only fitted to this press."),
            "{said}"
        );
        assert!(!said.contains("would miss"), "{said}");
        let said = sentence(&inks, PieceInks::Black);
        assert!(said.ends_with("It prints in black ink alone."), "{said}");
    }

    #[test]
    fn a_picture_that_keeps_all_is_told_so() {
        assert_eq!(
            sentence(&loss(), PieceInks::ByLook),
            "Nothing that the eye would miss."
        );
        let changed = Loss {
            mean_lost: 3.25,
            ..loss()
        };
        assert!(sentence(&changed, PieceInks::Four).contains("ΔE00 3.2"));
    }
}
