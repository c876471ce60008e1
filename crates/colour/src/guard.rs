//! The structure of a profile file, checked before the colour library sees it.
//!
//! Layout after ICC.1:2022 (header 7.2, tag table 7.3, lut8/lut16 10.10 and 10.11, lutAToB and
//! lutBToA 10.12 and 10.13).

/// Header and tag count.
const SHORTEST: usize = 132;
/// Most tags: the library reads no more, and the largest profiles in use have about thirty.
const MOST_TAGS: usize = 100;
/// Bytes of one entry of the tag table.
const TAG_ENTRY: usize = 12;

/// Gives the profile without what may trail it.
///
/// Errors say what is wrong in words that follow "not a usable ICC profile:".
pub(crate) fn whole_profile(bytes: &[u8]) -> Result<&[u8], String> {
    if bytes.is_empty() {
        return Err("it is empty".into());
    }
    if bytes.len() < SHORTEST {
        return Err(format!(
            "it has {} bytes, but the header alone takes {SHORTEST}",
            bytes.len()
        ));
    }
    let declared = number(bytes, 0).unwrap_or(0);
    if declared > bytes.len() {
        return Err(format!(
            "it should have {declared} bytes, but only {} are there; it was probably cut",
            bytes.len()
        ));
    }
    if declared < SHORTEST {
        return Err(format!(
            "it says that it has {declared} bytes, too few for a header"
        ));
    }
    let whole = &bytes[..declared];
    if &whole[36..40] != b"acsp" {
        return Err("the mark `acsp` of every profile is missing".into());
    }
    let count = number(whole, 128).unwrap_or(0);
    if count == 0 || count > MOST_TAGS || SHORTEST + count * TAG_ENTRY > declared {
        return Err(format!("its table of contents claims {count} entries"));
    }
    for entry in whole[SHORTEST..SHORTEST + count * TAG_ENTRY].chunks_exact(TAG_ENTRY) {
        check_tag(whole, entry)?;
    }
    Ok(whole)
}

fn check_tag(whole: &[u8], entry: &[u8]) -> Result<(), String> {
    let name = entry[..4].escape_ascii().to_string();
    let at = number(entry, 4).unwrap_or(usize::MAX);
    let size = number(entry, 8).unwrap_or(usize::MAX);
    let Some(tag) = at
        .checked_add(size)
        .filter(|_| at >= SHORTEST)
        .and_then(|end| whole.get(at..end))
    else {
        return Err(format!("its entry `{name}` lies outside of the file"));
    };
    if tag.len() < 8 {
        return Err(format!("its entry `{name}` has only {} bytes", tag.len()));
    }
    let fits = match &tag[..4] {
        b"mft1" => lut_fits(tag, 1),
        b"mft2" => lut_fits(tag, 2),
        b"mAB " | b"mBA " => multi_stage_fits(tag),
        _ => Some(true),
    };
    if fits == Some(true) {
        Ok(())
    } else {
        Err(format!("its table `{name}` claims more values than it has"))
    }
}

/// Whether the colour table of an old-style lookup lies inside its tag. A lie here would make the
/// library reserve memory for a table that is not there.
fn lut_fits(tag: &[u8], bytes_per_value: usize) -> Option<bool> {
    let (inputs, outputs, points) = (*tag.get(8)?, *tag.get(9)?, *tag.get(10)?);
    let values = table_size(&vec![points; usize::from(inputs)], outputs)?;
    Some(values.checked_mul(bytes_per_value)? <= tag.len())
}

/// The same for the lookups of version 4, whose table has its own place and grid per channel.
fn multi_stage_fits(tag: &[u8]) -> Option<bool> {
    let (inputs, outputs) = (*tag.get(8)?, *tag.get(9)?);
    let at = number(tag, 24)?;
    if at == 0 {
        return Some(true);
    }
    let points = tag.get(at..at.checked_add(usize::from(inputs.min(16)))?)?;
    let bytes_per_value = usize::from(*tag.get(at.checked_add(16)?)?);
    let values = table_size(points, outputs)?;
    Some(
        at.checked_add(20)?
            .checked_add(values.checked_mul(bytes_per_value)?)?
            <= tag.len(),
    )
}

fn table_size(points: &[u8], outputs: u8) -> Option<usize> {
    points.iter().try_fold(usize::from(outputs), |size, &n| {
        size.checked_mul(usize::from(n))
    })
}

fn number(bytes: &[u8], at: usize) -> Option<usize> {
    let four = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
    usize::try_from(u32::from_be_bytes(four)).ok()
}
