"""Write the first picture of a clip: `python -m practice.clips.first_frame CLIP PNG`.

Runs apart, with limits on time, memory and file size, and opens the named file alone.
"""

import resource
import sys

CPU_SECONDS = 10
MEMORY = 1536 * 1024 * 1024
FILE_SIZE = 64 * 1024 * 1024
MOST_PIXELS = 4096 * 4096


def main(source: str, frame: str) -> int:
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_FSIZE, (FILE_SIZE, FILE_SIZE))
    import av

    form = "webm" if source.endswith(".webm") else "mov"
    with av.open(source, format=form, options={"protocol_whitelist": "file"}) as clip:
        stream = clip.streams.video[0]
        if stream.width * stream.height > MOST_PIXELS:
            return 2
        stream.thread_count = 1
        for picture in clip.decode(stream):
            picture.to_image().save(frame)
            return 0
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
