//! What a file that came with a set holds, told by its content and never by its name.

use crate::report::Trace;

/// The file as a trace of a report; none when its media type is not one of traces.
///
/// Points of the body are told by their key, in the service's own envelope as in a results list of
/// COCO. Everything else is taken for a bar track, so that its reader can say what is amiss.
pub fn trace_of(media_type: &str, data: String) -> Option<Trace> {
    let format = match media_type {
        "text/csv" => "csv",
        "application/json" => "json",
        _ => return None,
    };
    let keypoints = format == "json" && data.contains("\"keypoints\"");
    Some(Trace {
        kind: if keypoints { "keypoints" } else { "bar-track" }.to_owned(),
        format: format.to_owned(),
        data,
        scale: None,
    })
}

#[cfg(test)]
mod tests {
    use super::trace_of;

    fn kind(media_type: &str, data: &str) -> Option<(String, String)> {
        trace_of(media_type, data.to_owned()).map(|trace| (trace.kind, trace.format))
    }

    #[test]
    fn what_a_file_holds_is_told_by_its_content() {
        let told = |kind: &str, format: &str| Some((kind.to_owned(), format.to_owned()));
        let bar = "fps=60\nt,x,y\n0,0,1\n";
        assert_eq!(kind("text/csv", bar), told("bar-track", "csv"));
        let body = r#"{"fps":30,"width":8,"height":8,"frames":[{"t":0,"keypoints":[]}]}"#;
        assert_eq!(kind("application/json", body), told("keypoints", "json"));
        let coco = r#"[{"image_id":1,"category_id":1,"keypoints":[],"score":1}]"#;
        assert_eq!(kind("application/json", coco), told("keypoints", "json"));
        let track = r#"{"fps":60,"x":[0],"y":[1]}"#;
        assert_eq!(kind("application/json", track), told("bar-track", "json"));
        assert_eq!(kind("image/png", ""), None);
    }
}
