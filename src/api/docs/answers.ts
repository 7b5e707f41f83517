/** Answers of a running server, recorded by tests/api/answers.test.ts. */
export const answers: Readonly<Record<string, Readonly<Record<string, unknown>>>> = {
  putSite: {
    '201': {
      id: 'brackenfold',
      events: 1,
      lastEventAt: '2026-01-05T15:00:00.000Z',
      name: 'Brackenfold',
      timeZone: 'America/Los_Angeles',
      jurisdictions: ['us', 'us-wa'],
      lines: [
        {
          id: 'M1',
          method: 'manual',
          chemistry: 'standard',
        },
        {
          id: 'A1',
          method: 'automatic',
        },
      ],
      tubes: [
        {
          id: 'R1',
          kind: 'wall',
        },
        {
          id: 'R2',
          kind: 'panoramic',
        },
      ],
      workingDays: [1, 2],
      warnings: [],
    },
  },
  sendEvents: {
    '200': {
      results: [
        {
          source: 'office',
          id: 'c-1',
          status: 'accepted',
          findings: ['CNmuSyndpRKs6cZE_aTbOg'],
        },
        {
          source: 'office',
          id: 'c-2',
          status: 'accepted',
          findings: [],
        },
        {
          source: 'office',
          id: 'b-1',
          status: 'rejected',
          findings: [],
          problem: {
            type: '/docs/errors#invalid-event',
            title: 'The event is not as the catalogue describes it',
            status: 422,
            code: 'invalid-event',
            detail: '/data/temprature is not a field here; did you mean "temperature"?',
            errors: [
              {
                code: 'unknown-field',
                pointer: '/data/temprature',
                message: 'is not a field here; did you mean "temperature"?',
                allowed: ['line', 'bath'],
                nearest: 'temperature',
              },
              {
                code: 'combination',
                pointer: '/data',
                message: 'must have temperature or level',
              },
            ],
            source: 'office',
            id: 'b-1',
          },
        },
      ],
      findings: {
        opened: ['CNmuSyndpRKs6cZE_aTbOg'],
        cleared: [],
        withdrawn: [],
      },
    },
    '202': {
      results: [
        {
          source: 'office',
          id: 'f-1',
          status: 'accepted',
          findings: ['P2S9te2TcjpX6X3mQVPLhE', 'cv9uUWB7RmbaQpi7wWc2Vk'],
        },
      ],
      findings: {
        opened: ['M1t2qK-LHuJHeiequVI0o5', 'P2S9te2TcjpX6X3mQVPLhE'],
        cleared: [],
        withdrawn: [],
      },
    },
  },
  listEvents: {
    '200': {
      items: [
        {
          specversion: '1.0',
          id: 'f-1',
          source: 'office',
          type: 'film.processed',
          time: '2026-03-11T16:05:00.000Z',
          site: 'brackenfold',
          data: {
            line: 'M1',
            count: 3,
            method: 'manual',
            developer: {
              time: {
                unit: 'min',
                value: 3.5,
              },
              temperature: {
                unit: '[degF]',
                value: 71,
              },
            },
          },
          receivedat: '2026-03-11T19:00:00.000Z',
        },
      ],
    },
  },
  listRejected: {
    '200': {
      items: [
        {
          source: 'office',
          id: 'b-1',
          site: 'brackenfold',
          type: 'bath.measured',
          faults: [
            {
              code: 'unknown-field',
              message: 'is not a field here; did you mean "temperature"?',
              nearest: 'temperature',
              pointer: '/data/temprature',
            },
            {
              code: 'combination',
              message: 'must have temperature or level',
              pointer: '/data',
            },
          ],
          receivedAt: '2026-03-11T19:00:00.000Z',
        },
      ],
    },
  },
  listFindings: {
    '200': {
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      items: [
        {
          id: 'cw-eBEGUSqJBpzbeMFJfW9',
          site: 'brackenfold',
          rule: 'common/processing-times/development-short',
          severity: 'law',
          state: 'open',
          title: 'Development too short',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          kind: 'check',
          line: 'M1',
          pack: 'common/processing-times',
          said: [
            {
              at: '2026-03-11T16:05:00.000Z',
              message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
            },
          ],
          chain: [
            {
              pack: 'common/processing-times',
              side: 'min',
              text: '4:00',
              bound: 240,
              chart: 'Common time-temperature chart',
              layer: 'practice',
              limit: 'development-time-min',
              verdict: 'broken',
              version: '1.0.1',
              citation: {
                read: 'practice',
                text: 'common practice, no source',
              },
              severity: 'warning',
            },
            {
              pack: 'us-wa/processing',
              side: 'min',
              text: '4:00',
              bound: 240,
              chart: 'Washington time-temperature chart',
              layer: 'state',
              limit: 'development-time-min',
              verdict: 'broken',
              version: '1.0.2',
              citation: {
                url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
                read: 'text',
                text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
              },
              severity: 'law',
            },
          ],
          facts: {
            'run.developer.time': 210,
          },
          films: 3,
          topic: 'run:office/f-1',
          advise:
            'Give the time of the chart for the temperature read. Do not raise the exposure time to make up for it.',
          anchor: {
            at: '2026-03-11T16:05:00.000Z',
            source: 'office',
            id: 'f-1',
            type: 'film.processed',
          },
          retest: 'Develop a strip for the full time before the next patient film.',
          caution: "The dentist decides whether a film is readable. Local code and the maker's sheet come first.",
          citation: {
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
            read: 'text',
            text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
            shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
          },
          evidence: [
            {
              at: '2026-03-11T16:05:00.000Z',
              source: 'office',
              id: 'f-1',
              type: 'film.processed',
            },
          ],
          openedAt: '2026-03-11T16:05:00.000Z',
          touchedAt: '2026-03-11T16:05:00.000Z',
          occurrences: 1,
          packVersion: '1.0.1',
          revision: 1,
        },
      ],
    },
  },
  findingChanges: {
    '200': {
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      items: [
        {
          site: 'brackenfold',
          seq: 1,
          revision: 1,
          change: 'opened',
          cause: 'live',
          hash: 'be6dfded6713719acac85725b822be268e164fed9d3459fc9a35c0855e43e12d',
          at: '2026-03-11T19:00:00.000Z',
          finding: {
            id: 'CNmuSyndpRKs6cZE_aTbOg',
            site: 'brackenfold',
            rule: 'common/makers-sheet/sheet-missing',
            severity: 'advice',
            state: 'open',
            title: "Maker's sheet not on file",
            message: "Maker's time-temperature sheet not on file for M1.",
            kind: 'check',
            line: 'M1',
            pack: 'common/makers-sheet',
            said: [
              {
                at: '2026-01-08T20:30:00.000Z',
                message: "Maker's time-temperature sheet not on file for M1.",
              },
            ],
            chain: [],
            facts: {
              'line.makersSheet': false,
            },
            films: 0,
            topic: 'line:M1',
            advise:
              'Ask the supplier for the sheet of this developer and film, and put it on file. Until then the state chart or the common chart answers.',
            anchor: {
              at: '2026-01-08T20:30:00.000Z',
              source: 'office',
              id: 'c-1',
              type: 'chemistry.changed',
            },
            citation: {
              read: 'practice',
              text: 'common practice, no source',
            },
            evidence: [
              {
                at: '2026-01-08T20:30:00.000Z',
                source: 'office',
                id: 'c-1',
                type: 'chemistry.changed',
              },
            ],
            openedAt: '2026-01-08T20:30:00.000Z',
            touchedAt: '2026-01-08T20:30:00.000Z',
            occurrences: 1,
            packVersion: '1.0.0',
            revision: 1,
          },
        },
      ],
      next: 'WyI3NjEiLCJicmFja2VuZm9sZCIsMV0',
      more: true,
    },
  },
  acknowledgeFinding: {
    '200': {
      caution:
        "The dentist decides whether a film is readable. Local code and the maker's sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.",
      id: 'cw-eBEGUSqJBpzbeMFJfW9',
      site: 'brackenfold',
      rule: 'common/processing-times/development-short',
      severity: 'law',
      state: 'acknowledged',
      title: 'Development too short',
      message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
      kind: 'check',
      line: 'M1',
      pack: 'common/processing-times',
      said: [
        {
          at: '2026-03-11T16:05:00.000Z',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
        },
      ],
      chain: [
        {
          pack: 'common/processing-times',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Common time-temperature chart',
          layer: 'practice',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.1',
          citation: {
            read: 'practice',
            text: 'common practice, no source',
          },
          severity: 'warning',
        },
        {
          pack: 'us-wa/processing',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Washington time-temperature chart',
          layer: 'state',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.2',
          citation: {
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
            read: 'text',
            text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
            shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
          },
          severity: 'law',
        },
      ],
      facts: {
        'run.developer.time': 210,
      },
      films: 3,
      topic: 'run:office/f-1',
      advise: 'Give the time of the chart for the temperature read. Do not raise the exposure time to make up for it.',
      anchor: {
        at: '2026-03-11T16:05:00.000Z',
        source: 'office',
        id: 'f-1',
        type: 'film.processed',
      },
      retest: 'Develop a strip for the full time before the next patient film.',
      citation: {
        url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
        note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
        read: 'text',
        text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
        shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
      },
      evidence: [
        {
          at: '2026-03-11T16:05:00.000Z',
          source: 'office',
          id: 'f-1',
          type: 'film.processed',
        },
      ],
      openedAt: '2026-03-11T16:05:00.000Z',
      touchedAt: '2026-03-11T19:00:00.000Z',
      occurrences: 1,
      packVersion: '1.0.1',
      acknowledgedBy: 'op-3',
      acknowledgeReason: 'on it',
      revision: 2,
      trace: {
        all: [
          {
            fact: 'run.developer.time',
            value: {
              fact: 'limit:development-time-min',
            },
            result: true,
            operator: 'below',
            factResult: 210,
            valueResult: [
              {
                pack: 'common/processing-times',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Common time-temperature chart',
                layer: 'practice',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.1',
                citation: {
                  read: 'practice',
                  text: 'common practice, no source',
                },
                severity: 'warning',
              },
              {
                pack: 'us-wa/processing',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Washington time-temperature chart',
                layer: 'state',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.2',
                citation: {
                  url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                  note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
                  read: 'text',
                  text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                  shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
                },
                severity: 'law',
              },
            ],
          },
        ],
        priority: 1,
      },
      evaluatorsAgree: true,
      history: [
        {
          revision: 1,
          change: 'opened',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'open',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          hash: '0caa16a76fc05c27e84e7d3e5ccae04599c26b7e0fd84473eaa2cdad7aeaacaa',
        },
        {
          revision: 2,
          change: 'changed',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'acknowledged',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          did: [
            {
              what: 'acknowledged',
              by: 'op-3',
              reason: 'on it',
            },
          ],
          hash: '6f6b353f560edd9f550948b3a157f55add876689254ba1f04d6fa4290f87ad3c',
        },
      ],
    },
  },
  snoozeFinding: {
    '200': {
      caution:
        "The dentist decides whether a film is readable. Local code and the maker's sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.",
      id: 'cw-eBEGUSqJBpzbeMFJfW9',
      site: 'brackenfold',
      rule: 'common/processing-times/development-short',
      severity: 'law',
      state: 'acknowledged',
      title: 'Development too short',
      message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
      kind: 'check',
      line: 'M1',
      pack: 'common/processing-times',
      said: [
        {
          at: '2026-03-11T16:05:00.000Z',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
        },
      ],
      chain: [
        {
          pack: 'common/processing-times',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Common time-temperature chart',
          layer: 'practice',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.1',
          citation: {
            read: 'practice',
            text: 'common practice, no source',
          },
          severity: 'warning',
        },
        {
          pack: 'us-wa/processing',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Washington time-temperature chart',
          layer: 'state',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.2',
          citation: {
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
            read: 'text',
            text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
            shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
          },
          severity: 'law',
        },
      ],
      facts: {
        'run.developer.time': 210,
      },
      films: 3,
      topic: 'run:office/f-1',
      advise: 'Give the time of the chart for the temperature read. Do not raise the exposure time to make up for it.',
      anchor: {
        at: '2026-03-11T16:05:00.000Z',
        source: 'office',
        id: 'f-1',
        type: 'film.processed',
      },
      retest: 'Develop a strip for the full time before the next patient film.',
      citation: {
        url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
        note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
        read: 'text',
        text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
        shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
      },
      evidence: [
        {
          at: '2026-03-11T16:05:00.000Z',
          source: 'office',
          id: 'f-1',
          type: 'film.processed',
        },
      ],
      openedAt: '2026-03-11T16:05:00.000Z',
      snoozedBy: 'op-3',
      touchedAt: '2026-03-11T19:00:00.000Z',
      occurrences: 1,
      packVersion: '1.0.1',
      snoozeReason: 'part ordered',
      snoozedUntil: '2026-03-13T07:00:00.000Z',
      acknowledgedBy: 'op-3',
      acknowledgeReason: 'on it',
      revision: 3,
      trace: {
        all: [
          {
            fact: 'run.developer.time',
            value: {
              fact: 'limit:development-time-min',
            },
            result: true,
            operator: 'below',
            factResult: 210,
            valueResult: [
              {
                pack: 'common/processing-times',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Common time-temperature chart',
                layer: 'practice',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.1',
                citation: {
                  read: 'practice',
                  text: 'common practice, no source',
                },
                severity: 'warning',
              },
              {
                pack: 'us-wa/processing',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Washington time-temperature chart',
                layer: 'state',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.2',
                citation: {
                  url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                  note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
                  read: 'text',
                  text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                  shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
                },
                severity: 'law',
              },
            ],
          },
        ],
        priority: 1,
      },
      evaluatorsAgree: true,
      history: [
        {
          revision: 1,
          change: 'opened',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'open',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          hash: '0caa16a76fc05c27e84e7d3e5ccae04599c26b7e0fd84473eaa2cdad7aeaacaa',
        },
        {
          revision: 2,
          change: 'changed',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'acknowledged',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          did: [
            {
              what: 'acknowledged',
              by: 'op-3',
              reason: 'on it',
            },
          ],
          hash: '6f6b353f560edd9f550948b3a157f55add876689254ba1f04d6fa4290f87ad3c',
        },
      ],
    },
  },
  getFinding: {
    '200': {
      caution:
        "The dentist decides whether a film is readable. Local code and the maker's sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.",
      id: 'cw-eBEGUSqJBpzbeMFJfW9',
      site: 'brackenfold',
      rule: 'common/processing-times/development-short',
      severity: 'law',
      state: 'acknowledged',
      title: 'Development too short',
      message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
      kind: 'check',
      line: 'M1',
      pack: 'common/processing-times',
      said: [
        {
          at: '2026-03-11T16:05:00.000Z',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
        },
      ],
      chain: [
        {
          pack: 'common/processing-times',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Common time-temperature chart',
          layer: 'practice',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.1',
          citation: {
            read: 'practice',
            text: 'common practice, no source',
          },
          severity: 'warning',
        },
        {
          pack: 'us-wa/processing',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Washington time-temperature chart',
          layer: 'state',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.2',
          citation: {
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
            read: 'text',
            text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
            shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
          },
          severity: 'law',
        },
      ],
      facts: {
        'run.developer.time': 210,
      },
      films: 3,
      topic: 'run:office/f-1',
      advise: 'Give the time of the chart for the temperature read. Do not raise the exposure time to make up for it.',
      anchor: {
        at: '2026-03-11T16:05:00.000Z',
        source: 'office',
        id: 'f-1',
        type: 'film.processed',
      },
      retest: 'Develop a strip for the full time before the next patient film.',
      citation: {
        url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
        note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
        read: 'text',
        text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
        shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
      },
      evidence: [
        {
          at: '2026-03-11T16:05:00.000Z',
          source: 'office',
          id: 'f-1',
          type: 'film.processed',
        },
      ],
      openedAt: '2026-03-11T16:05:00.000Z',
      snoozedBy: 'op-3',
      touchedAt: '2026-03-11T19:00:00.000Z',
      occurrences: 1,
      packVersion: '1.0.1',
      snoozeReason: 'part ordered',
      snoozedUntil: '2026-03-13T07:00:00.000Z',
      acknowledgedBy: 'op-3',
      acknowledgeReason: 'on it',
      revision: 3,
      trace: {
        all: [
          {
            fact: 'run.developer.time',
            value: {
              fact: 'limit:development-time-min',
            },
            result: true,
            operator: 'below',
            factResult: 210,
            valueResult: [
              {
                pack: 'common/processing-times',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Common time-temperature chart',
                layer: 'practice',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.1',
                citation: {
                  read: 'practice',
                  text: 'common practice, no source',
                },
                severity: 'warning',
              },
              {
                pack: 'us-wa/processing',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Washington time-temperature chart',
                layer: 'state',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.2',
                citation: {
                  url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                  note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
                  read: 'text',
                  text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                  shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
                },
                severity: 'law',
              },
            ],
          },
        ],
        priority: 1,
      },
      evaluatorsAgree: true,
      history: [
        {
          revision: 1,
          change: 'opened',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'open',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          hash: '0caa16a76fc05c27e84e7d3e5ccae04599c26b7e0fd84473eaa2cdad7aeaacaa',
        },
        {
          revision: 2,
          change: 'changed',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'acknowledged',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          did: [
            {
              what: 'acknowledged',
              by: 'op-3',
              reason: 'on it',
            },
          ],
          hash: '6f6b353f560edd9f550948b3a157f55add876689254ba1f04d6fa4290f87ad3c',
        },
      ],
    },
  },
  getBoard: {
    '200': {
      site: 'brackenfold',
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      state: 'check',
      lines: [
        {
          id: 'M1',
          outOfUse: false,
          state: 'check',
        },
        {
          id: 'A1',
          outOfUse: false,
          state: 'clear',
        },
      ],
      tubes: [
        {
          id: 'R1',
          outOfUse: false,
          state: 'clear',
        },
        {
          id: 'R2',
          outOfUse: false,
          state: 'clear',
        },
      ],
      cards: [
        {
          state: 'check',
          what: 'M1 chemistry in use since Thu 8 Jan 2026; limit 2 months, through Sun 8 Mar 2026 (WAC 246-225A-090). Change now.',
          doNow: 'Change developer and fixer, clean the tanks, date and sign the log.',
          nextTest: 'Develop a strip before the next patient film.',
          caution:
            "The maker's period comes first where it is shorter. Where local code sets the period, a good strip does not extend it.",
          line: 'M1',
          rule: 'common/chemistry-age/chemistry-age',
          severity: 'law',
          since: '2026-03-09T07:00:00.000Z',
          findings: ['M1t2qK-LHuJHeiequVI0o5'],
          count: 1,
        },
      ],
      more: 0,
      standing: [],
      due: [
        {
          rule: 'common/darkroom/safelight-monthly',
          title: 'Coin test of the safelight',
          text: 'Coin test of the safelight: was due by Mon 9 Feb.',
          due: '2026-02-10T08:00:00.000Z',
          lastWorkingDay: '2026-02-09',
          listed: true,
          overdue: true,
          severity: 'advice',
          chain: [],
        },
        {
          rule: 'common/chemistry-age/processor-chemistry-age',
          title: 'Change A1 chemistry (processor)',
          text: 'Change A1 chemistry (processor) before the next films: was due by Fri 6 Mar.',
          line: 'A1',
          baths: ['developer', 'fixer'],
          due: '2026-03-07T08:00:00.000Z',
          lastWorkingDay: '2026-03-05',
          listed: true,
          overdue: false,
          severity: 'warning',
          chain: [
            {
              limit: 'chemistry-age',
              pack: 'common/chemistry-age',
              version: '1.0.0',
              layer: 'practice',
              severity: 'warning',
              side: 'max',
              bound: 1772870400000,
              text: '60 days, through Fri 6 Mar 2026',
              verdict: 'unknown',
              citation: {
                text: 'common practice, no source',
                read: 'practice',
              },
            },
          ],
        },
      ],
      weekly: [
        {
          kind: 'advice',
          rules: ['common/makers-sheet/sheet-missing'],
          line: 'M1',
          text: "Maker's time-temperature sheet not on file for M1.",
          since: '2026-01-08T20:30:00.000Z',
          finding: 'CNmuSyndpRKs6cZE_aTbOg',
        },
        {
          kind: 'advice',
          rules: ['common/darkroom/safelight-monthly'],
          text: 'No safelight test on record for five weeks; it was due by Mon 9 Feb.',
          since: '2026-03-11T16:05:00.000Z',
          finding: 'cv9uUWB7RmbaQpi7wWc2Vk',
        },
      ],
      orphans: [],
      warnings: [],
    },
  },
  getDue: {
    '200': {
      site: 'brackenfold',
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      items: [
        {
          rule: 'common/darkroom/safelight-monthly',
          title: 'Coin test of the safelight',
          text: 'Coin test of the safelight: was due by Mon 9 Feb.',
          due: '2026-02-10T08:00:00.000Z',
          lastWorkingDay: '2026-02-09',
          listed: true,
          overdue: true,
          severity: 'advice',
          chain: [],
        },
        {
          rule: 'common/chemistry-age/processor-chemistry-age',
          title: 'Change A1 chemistry (processor)',
          text: 'Change A1 chemistry (processor) before the next films: was due by Fri 6 Mar.',
          line: 'A1',
          baths: ['developer', 'fixer'],
          due: '2026-03-07T08:00:00.000Z',
          lastWorkingDay: '2026-03-05',
          listed: true,
          overdue: false,
          severity: 'warning',
          chain: [
            {
              limit: 'chemistry-age',
              pack: 'common/chemistry-age',
              version: '1.0.0',
              layer: 'practice',
              severity: 'warning',
              side: 'max',
              bound: 1772870400000,
              text: '60 days, through Fri 6 Mar 2026',
              verdict: 'unknown',
              citation: {
                text: 'common practice, no source',
                read: 'practice',
              },
            },
          ],
        },
      ],
    },
  },
  consultDevelopment: {
    '200': {
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      method: 'manual',
      chemistry: 'standard',
      temperature: 21.1111111111,
      time: 270,
      chart: 'Washington time-temperature chart',
      source: {
        pack: 'us-wa/processing',
        version: '1.0.2',
        authority: 'Washington State Department of Health',
        layer: 'state',
        role: 'alternative',
        citation: {
          text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
          url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
          shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
          read: 'text',
          note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
        },
        chart: {
          id: 'us-wa/manual-chart',
          title: 'Washington time-temperature chart',
          layer: 'state',
          rows: {
            by: 'run.developer.temperature',
            from: 15.5555555556,
            to: 26.6666666667,
          },
        },
        time: 270,
      },
      text: 'Develop 4:30 at 70 F (21.1 C), by Washington time-temperature chart.',
      why: [
        'Washington State Department of Health accepts its own chart or the maker’s sheet; no maker’s sheet is on file for the line.',
      ],
      given: {
        time: 240,
        stands: 'under',
        off: -30,
        offPercent: -11.1111111111,
        most: 300,
        text: '0:30 too short.',
      },
      asked: [
        {
          pack: 'us-wa/processing',
          version: '1.0.2',
          authority: 'Washington State Department of Health',
          layer: 'state',
          role: 'alternative',
          citation: {
            text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
            read: 'text',
            note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
          },
          chart: {
            id: 'us-wa/manual-chart',
            title: 'Washington time-temperature chart',
            layer: 'state',
            rows: {
              by: 'run.developer.temperature',
              from: 15.5555555556,
              to: 26.6666666667,
            },
          },
          time: 270,
        },
        {
          pack: 'common/processing-times',
          version: '1.0.1',
          authority: 'common practice',
          layer: 'practice',
          role: 'fallback',
          citation: {
            text: 'common practice, no source',
            read: 'practice',
          },
          chart: {
            id: 'common/manual-chart',
            title: 'Common time-temperature chart',
            layer: 'practice',
            rows: {
              by: 'run.developer.temperature',
              from: 15.5555555556,
              to: 26.6666666667,
            },
          },
          time: 270,
        },
      ],
      fixing: {
        least: 240,
        longest: 900,
        clearing: 120,
        text: 'Film clears in 2:00: fix at least 4:00 and no longer than 15:00 (T.O. 33B-1-1 par. 6.7.9).',
      },
      washing: {
        least: 600,
        source: {
          pack: 'common/fixing-washing',
          version: '1.0.2',
          authority: 'common practice',
          layer: 'practice',
          citation: {
            text: 'common practice, no source',
            read: 'practice',
          },
          time: 600,
        },
        text: 'At least 10:00 (common practice). No washing time by temperature is in force; cold water washes more slowly (common practice, no source).',
      },
    },
  },
  consultExposure: {
    '200': {
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      time: 0.583936999782,
      charge: 4.08755899847,
      pulses: {
        pulses: 35,
        off: -0.103378694705,
      },
      steps: [
        {
          step: 'speed',
          factor: 0.4,
          time: 0.16,
          rule: 'published-reductions',
          source: {
            text: 'F-speed film needs 25 % less than E and 60 % less than D, a page that quotes the FDA',
            url: 'https://education-academia.github.io/clinical-medicine/medicine/radiology/for-intraoral-x-rays-what-film-speed-is-the-fastest-and-reduces-the-amount-of-patient-exposure-to-radiation.html',
            read: 'summary',
          },
          text: 'Film of speed F instead of D: 0.4 times the time. The maker’s sheet and a test exposure decide.',
        },
        {
          step: 'distance',
          factor: 3.64960624864,
          time: 0.583936999782,
          rule: 'distance',
          source: {
            text: 'inverse square of the distance from target to film, as asked of dental assistants',
            url: 'https://danb-radiationhealthandsafetyfourhundredquestions.examzify.com/question/when-the-target-source-film-b83ee879ad427cf2',
            read: 'summary',
          },
          text: '426 mm from target to film instead of 223 mm: 3.65 times the time. By the lengths of the cones alone it would be 4 times, 9.6 % too much: the film lies behind the cone.',
        },
      ],
    },
  },
  consultStrip: {
    '200': {
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      net: [0.14, 0.31],
      fog: 'asNew',
      tells: 'unitAndProcessing',
      difference: {
        density: -0.18,
        baseFog: 0.01,
        contrast: -0.12,
        steps: 0.5,
        direction: 'lighter',
        many: false,
      },
      curve: {
        most: 2.93060384178,
        middle: -0.610516586288,
        steepness: 1.7640328253,
        residual: 0.0166134008944,
        speedPoint: 0.168860803043,
        averageGradient: 2.26563415218,
        steepEnough: true,
        speed: 59.2203745322,
        group: 'F',
      },
      text: [
        '0.5 steps lighter, -0.18 in density at the middle step.',
        'A strip of today tests unit and processing together and does not tell which.',
      ],
    },
  },
  consultCauses: {
    '200': {
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      causes: [
        {
          cause: 'dev_time_long',
          title: 'Development time too long',
          stage: 'processing',
          prior: {
            published: 0.018,
            now: 0.018,
          },
          probability: 0.39099953646,
          before: 0.170366479453,
          likely: 'possible',
          evidence: [
            {
              clue: 'all_units_batch',
              from: 'record',
              text: 'All films of its run show it.',
              ratio: 8,
            },
          ],
          do: 'Give the time of the chart for the temperature that was read; set the timer.',
          salvage: 'Finish fixing and washing; a dark film may be readable on a bright light.',
          affects: 'run',
          retake: {
            helps: false,
            text: 'Made again now it would show the same: mend this first. Exposed packets can wait in the dark.',
          },
          test: {
            say: 'Hold the time of the run against the chart at its temperature.',
            minutes: 1,
          },
          citation: {
            text: 'common practice; the pairs of sign and cause from the tables named beside them',
            read: 'practice',
          },
          tables: ['T01', 'T03'],
        },
        {
          cause: 'dev_hot',
          title: 'Developer too warm',
          stage: 'processing',
          prior: {
            published: 0.02,
            now: 0.02,
          },
          probability: 0.366469332357,
          before: 0.083018986523,
          likely: 'possible',
          evidence: [
            {
              clue: 'temp_log_high',
              from: 'answer',
              text: 'Yes: Developer temperature log high',
              ratio: 3,
            },
            {
              clue: 'all_units_batch',
              from: 'record',
              text: 'All films of its run show it.',
              ratio: 8,
            },
          ],
          do: 'Bring the developer into the range of the chart, or give the shorter time of the chart.',
          salvage: 'Finish fixing and washing; a dark film may be readable on a bright light.',
          affects: 'run',
          retake: {
            helps: false,
            text: 'Made again now it would show the same: mend this first. Exposed packets can wait in the dark.',
          },
          test: {
            say: 'Read the thermometer in the stirred developer.',
            minutes: 1,
          },
          citation: {
            text: 'common practice; the pairs of sign and cause from the tables named beside them',
            read: 'practice',
          },
          tables: ['T01', 'T03'],
        },
      ],
      groups: [
        {
          cause: 'overdevelopment',
          title: 'Overdevelopment (unspecified)',
          probability: 0.686843736761,
          of: ['dev_time_long', 'dev_hot'],
        },
        {
          cause: 'dev_mixed_wrong',
          title: 'Developer mixed wrongly',
          probability: 0.139294411739,
          of: ['dev_mixed_wrong', 'dev_concentrated'],
        },
      ],
      unknown: 0.00348898013386,
      first: [
        {
          say: 'Hold the time of the run against the chart at its temperature.',
          minutes: 1,
          bits: 0.508951578717,
          of: ['dev_time_long'],
        },
        {
          say: 'Read the thermometer in the stirred developer.',
          minutes: 1,
          bits: 0.497822649342,
          of: ['dev_hot'],
        },
      ],
      open: [
        {
          clue: 'fresh_film_blank',
          ask: 'Unexposed fresh film, fresh chemistry: clear with slight blue tint = film good; grey = film at fault',
        },
        {
          clue: 'daily_pair',
          ask: 'Daily pair: unexposed film comes out clear+dry, exposed film black+dry; otherwise processor fault',
        },
      ],
      tables: [
        {
          id: 'T01',
          title:
            'Section III, Faulty Radiographs, paras 3-9 to 3-15 (US Army dental radiography subcourse MD0512, mirrored)',
          url: 'http://www.free-ed.net/sweethaven/MedTech/Dental/DentalRad/default.asp?iNum=0303',
        },
        {
          id: 'T03',
          title: 'eCampusOntario open textbook DE115 Radiography, ch. 10.3 Processing Problems and Solutions',
          url: 'https://ecampusontario.pressbooks.pub/de115radiography/chapter/10-3-processing-solutions-equipment-and-film-processing-problems',
        },
      ],
      notes: ['Weak chemistry is mended, never made up for by more exposure or by developing by eye.'],
      text: 'Development time too long is possible; possible: developer too warm.',
    },
  },
  getLearnedCauses: {
    '200': {
      site: 'brackenfold',
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      items: [],
      lessons: [],
    },
  },
  getBaths: {
    '200': {
      site: 'brackenfold',
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      items: [
        {
          line: 'M1',
          bath: 'developer',
          age: 62,
          films: 3,
          area: 0,
          unsized: 3,
          since: '2026-01-08T20:30:00.000Z',
          reaches: [
            {
              by: 'age',
              limit: 'chemistry-age',
              pack: 'common/chemistry-age',
              authority: 'common practice',
              layer: 'practice',
              days: 0,
              earliest: 0,
              latest: 0,
              text: 'Age limit 60 days: its last day was Mon 9 Mar.',
              due: '2026-03-10T07:00:00.000Z',
            },
            {
              by: 'age',
              limit: 'chemistry-age',
              pack: 'us-wa/processing',
              authority: 'Washington State Department of Health',
              layer: 'state',
              days: 0,
              earliest: 0,
              latest: 0,
              text: 'Age limit 2 months: its last day was Sun 8 Mar.',
              due: '2026-03-09T07:00:00.000Z',
            },
          ],
        },
        {
          line: 'M1',
          bath: 'fixer',
          age: 62,
          films: 3,
          area: 0,
          unsized: 3,
          since: '2026-01-08T20:30:00.000Z',
          reaches: [
            {
              by: 'age',
              limit: 'chemistry-age',
              pack: 'common/chemistry-age',
              authority: 'common practice',
              layer: 'practice',
              days: 0,
              earliest: 0,
              latest: 0,
              text: 'Age limit 60 days: its last day was Mon 9 Mar.',
              due: '2026-03-10T07:00:00.000Z',
            },
            {
              by: 'age',
              limit: 'chemistry-age',
              pack: 'us-wa/processing',
              authority: 'Washington State Department of Health',
              layer: 'state',
              days: 0,
              earliest: 0,
              latest: 0,
              text: 'Age limit 2 months: its last day was Sun 8 Mar.',
              due: '2026-03-09T07:00:00.000Z',
            },
          ],
        },
      ],
    },
  },
  getMeasure: {
    '200': {
      site: 'brackenfold',
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      measure: 'run.timeRatio',
      title: 'Developing time over the least that its temperature asks for',
      unit: '1',
      items: [
        {
          line: 'M1',
          rule: 'common/trends/times-not-following',
          readings: [
            {
              at: '2026-03-11T16:05:00.000Z',
              value: 0.875,
              signals: [],
            },
          ],
          text: 'Developing time over the least that its temperature asks for, M1: 1 reading; the last 0.875; too few for limits',
        },
      ],
    },
  },
  getNotEvaluable: {
    '200': {
      site: 'brackenfold',
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      items: [
        {
          rule: 'common/fixing-washing/fixing-time',
          title: 'Fixing too short',
          kind: 'check',
          topic: 'line:M1',
          line: 'M1',
          since: '2026-03-11T16:05:00.000Z',
          latest: '2026-03-11T16:05:00.000Z',
          count: 1,
          text: 'Not evaluable at M1 since Wed 11 Mar: no time in the fixer on record; send film.processed with fixer.time.',
          missing: [
            {
              fact: 'run.fixer.time',
              meaning: 'time in the fixer',
              why: 'missing',
              text: 'no time in the fixer on record',
              send: [
                {
                  event: 'film.processed',
                  with: {},
                  fields: ['fixer.time'],
                },
              ],
            },
          ],
          unanswered: [],
        },
      ],
    },
  },
  getLimits: {
    '200': {
      site: 'brackenfold',
      at: '2026-03-11T19:00:00.000Z',
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      items: [
        {
          limit: 'developer-temperature',
          of: 'developer.temperature',
          meaning: 'developer of the line, last reading within four hours',
          unit: 'Cel',
          line: 'M1',
          chain: [
            {
              pack: 'common/temperatures',
              authority: 'common practice',
              layer: 'practice',
              severity: 'warning',
              min: {
                text: '60 F',
                value: 60,
                unit: '[degF]',
              },
              max: {
                text: '80 F',
                value: 80,
                unit: '[degF]',
              },
              target: {
                min: '68 F',
                max: '70 F',
              },
              citation: {
                text: 'common practice, no source',
                read: 'practice',
              },
            },
          ],
          strictest: [
            {
              side: 'min',
              pack: 'common/temperatures',
              layer: 'practice',
              citation: {
                text: 'common practice, no source',
                read: 'practice',
              },
              text: '60 F',
            },
            {
              side: 'max',
              pack: 'common/temperatures',
              layer: 'practice',
              citation: {
                text: 'common practice, no source',
                read: 'practice',
              },
              text: '80 F',
            },
          ],
          told: [
            'developer-temperature on line M1: developer of the line, last reading within four hours.',
            'Common practice (beside the law) says at least 60 F and at most 80 F; outside it is a warning. common practice, no source.',
          ],
        },
        {
          limit: 'development-time-min',
          of: 'run.developer.time',
          meaning: 'time in the developer',
          unit: 's',
          line: 'M1',
          chain: [
            {
              pack: 'us-wa/processing',
              authority: 'Washington State Department of Health',
              layer: 'state',
              severity: 'law',
              min: {
                text: 'by chart: Washington time-temperature chart',
                chart: {
                  id: 'us-wa/manual-chart',
                  title: 'Washington time-temperature chart',
                  layer: 'state',
                  lookup: 'step',
                  units: {
                    by: '[degF]',
                    gives: 'min',
                  },
                  rows: [
                    {
                      key: 60,
                      value: 9.5,
                    },
                    {
                      key: 61,
                      value: 8.5,
                    },
                    {
                      key: 62,
                      value: 8,
                    },
                  ],
                },
              },
              role: 'alternative',
              citation: {
                text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
                read: 'text',
                note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
              },
            },
            {
              pack: 'common/processing-times',
              authority: 'common practice',
              layer: 'practice',
              severity: 'warning',
              min: {
                text: 'by chart: Common time-temperature chart',
                chart: {
                  id: 'common/manual-chart',
                  title: 'Common time-temperature chart',
                  layer: 'practice',
                  lookup: 'step',
                  units: {
                    by: '[degF]',
                    gives: 'min',
                  },
                  rows: [
                    {
                      key: 60,
                      value: 9.5,
                    },
                    {
                      key: 61,
                      value: 8.5,
                    },
                    {
                      key: 62,
                      value: 8,
                    },
                  ],
                },
              },
              role: 'fallback',
              citation: {
                text: 'common practice, no source',
                read: 'practice',
              },
              noEffect: [
                {
                  side: 'min',
                  pack: 'us-wa/processing',
                  layer: 'state',
                  authority: 'Washington State Department of Health',
                  citation: {
                    text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                    url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                    shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
                    read: 'text',
                    note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
                  },
                  text: 'by chart: Washington time-temperature chart',
                  same: true,
                },
              ],
            },
          ],
          strictest: [
            {
              side: 'min',
              pack: 'us-wa/processing',
              layer: 'state',
              citation: {
                text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
                read: 'text',
                note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
              },
              text: 'by chart: Washington time-temperature chart',
            },
          ],
          told: [
            'development-time-min on line M1: time in the developer.',
            'Washington State Department of Health (state) says at least what the chart gives (Washington time-temperature chart); outside it is a breach of law. WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a)) (2023 code archive; sister section through Register 24-18, 2024-09-15, read as text).',
          ],
        },
      ],
      warnings: [],
    },
  },
  resolveFinding: {
    '200': {
      caution:
        "The dentist decides whether a film is readable. Local code and the maker's sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.",
      id: 'cw-eBEGUSqJBpzbeMFJfW9',
      site: 'brackenfold',
      rule: 'common/processing-times/development-short',
      severity: 'law',
      state: 'resolved',
      title: 'Development too short',
      message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
      kind: 'check',
      line: 'M1',
      pack: 'common/processing-times',
      said: [
        {
          at: '2026-03-11T16:05:00.000Z',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
        },
      ],
      chain: [
        {
          pack: 'common/processing-times',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Common time-temperature chart',
          layer: 'practice',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.1',
          citation: {
            read: 'practice',
            text: 'common practice, no source',
          },
          severity: 'warning',
        },
        {
          pack: 'us-wa/processing',
          side: 'min',
          text: '4:00',
          bound: 240,
          chart: 'Washington time-temperature chart',
          layer: 'state',
          limit: 'development-time-min',
          verdict: 'broken',
          version: '1.0.2',
          citation: {
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
            read: 'text',
            text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
            shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
          },
          severity: 'law',
        },
      ],
      facts: {
        'run.developer.time': 210,
      },
      films: 3,
      topic: 'run:office/f-1',
      action: 'timer put on the shelf',
      advise: 'Give the time of the chart for the temperature read. Do not raise the exposure time to make up for it.',
      anchor: {
        at: '2026-03-11T16:05:00.000Z',
        source: 'office',
        id: 'f-1',
        type: 'film.processed',
      },
      retest: 'Develop a strip for the full time before the next patient film.',
      citation: {
        url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
        note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
        read: 'text',
        text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
        shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
      },
      closedAt: '2026-03-11T19:00:00.000Z',
      closedBy: {
        at: '2026-03-11T19:00:00.000Z',
        source: 'stepwedge/api',
        id: '5f2d8c1e-7a40-4b6e-9c3d-0e1f2a3b4c5d',
        type: 'finding.resolved',
      },
      evidence: [
        {
          at: '2026-03-11T16:05:00.000Z',
          source: 'office',
          id: 'f-1',
          type: 'film.processed',
        },
      ],
      openedAt: '2026-03-11T16:05:00.000Z',
      rootCause: 'pulled early',
      snoozedBy: 'op-3',
      touchedAt: '2026-03-11T19:00:00.000Z',
      occurrences: 1,
      packVersion: '1.0.1',
      rootCauseBy: 'op-3',
      snoozeReason: 'part ordered',
      snoozedUntil: '2026-03-13T07:00:00.000Z',
      acknowledgedBy: 'op-3',
      acknowledgeReason: 'on it',
      revision: 4,
      trace: {
        all: [
          {
            fact: 'run.developer.time',
            value: {
              fact: 'limit:development-time-min',
            },
            result: true,
            operator: 'below',
            factResult: 210,
            valueResult: [
              {
                pack: 'common/processing-times',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Common time-temperature chart',
                layer: 'practice',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.1',
                citation: {
                  read: 'practice',
                  text: 'common practice, no source',
                },
                severity: 'warning',
              },
              {
                pack: 'us-wa/processing',
                side: 'min',
                text: '4:00',
                bound: 240,
                chart: 'Washington time-temperature chart',
                layer: 'state',
                limit: 'development-time-min',
                verdict: 'broken',
                version: '1.0.2',
                citation: {
                  url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
                  note: "The dental copy is cut at 60 F. That row is cited from the sister section for other healing arts, whose other 20 rows are the same in a commercial publisher's copy (https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150).",
                  read: 'text',
                  text: 'WAC 246-225A-090 (its 60 F row from WAC 246-225-150(1)(a))',
                  shown: '2023 code archive; sister section through Register 24-18, 2024-09-15',
                },
                severity: 'law',
              },
            ],
          },
        ],
        priority: 1,
      },
      evaluatorsAgree: true,
      history: [
        {
          revision: 1,
          change: 'opened',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'open',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          hash: '0caa16a76fc05c27e84e7d3e5ccae04599c26b7e0fd84473eaa2cdad7aeaacaa',
        },
        {
          revision: 2,
          change: 'changed',
          cause: 'live',
          at: '2026-03-11T19:00:00.000Z',
          severity: 'law',
          state: 'acknowledged',
          message: 'Developed 3:30 at 71 F; minimum 4:00. 0:30 short.',
          did: [
            {
              what: 'acknowledged',
              by: 'op-3',
              reason: 'on it',
            },
          ],
          hash: '6f6b353f560edd9f550948b3a157f55add876689254ba1f04d6fa4290f87ad3c',
        },
      ],
    },
  },
  listSites: {
    '200': {
      items: [
        {
          id: 'brackenfold',
          events: 7,
          lastEventAt: '2026-03-11T19:00:00.000Z',
        },
      ],
    },
  },
  getSite: {
    '200': {
      id: 'brackenfold',
      events: 7,
      lastEventAt: '2026-03-11T19:00:00.000Z',
      name: 'Brackenfold',
      timeZone: 'America/Los_Angeles',
      jurisdictions: ['us', 'us-wa'],
      lines: [
        {
          id: 'M1',
          method: 'manual',
          chemistry: 'standard',
        },
        {
          id: 'A1',
          method: 'automatic',
        },
      ],
      tubes: [
        {
          id: 'R1',
          kind: 'wall',
        },
        {
          id: 'R2',
          kind: 'panoramic',
        },
      ],
      workingDays: [1, 2],
      warnings: [],
    },
  },
  listPacks: {
    '200': {
      items: [
        {
          id: 'us/processing',
          version: '1.0.0',
          title: 'United States, film processing',
          authority: 'United States federal regulations',
          layer: 'federal',
          jurisdiction: 'us',
          rules: [],
          limits: [],
          deprecated: [],
          charts: [],
          obligations: [],
          notKnown: ['film processing', 'film processor limits'],
        },
      ],
    },
  },
  getPack: {
    '200': {
      hash: '4a1212557d6e4c95414695d671cf8e454aa0a498aba40ca1064d808e09686c83',
      id: 'us-wa/processing',
      version: '1.0.2',
      title: 'Washington, dental film processing',
      authority: 'Washington State Department of Health',
      layer: 'state',
      jurisdiction: 'us-wa',
      tests: [
        {
          name: "half a minute short by the state's chart",
          kind: 'fires',
          rules: ['common/processing-times/development-short'],
          clock: '2026-03-02T08:00',
          events: [
            {
              type: 'film.processed',
              time: '8:00',
              data: {
                line: 'M1',
                method: 'manual',
                count: 3,
                developer: {
                  temperature: '68 [degF]',
                  time: '4.5 min',
                },
              },
            },
          ],
          site: {},
          expect: [
            {
              subject: 'run 1',
              severity: 'law',
              says: '0:30 short',
              values: {
                'run.developer.time': {
                  value: 4.5,
                  unit: 'min',
                  canonical: 270,
                },
                'limit.development-time-min': {
                  value: 5,
                  unit: 'min',
                  canonical: 300,
                },
              },
            },
          ],
        },
        {
          name: "exactly the state's chart",
          kind: 'boundary',
          rules: ['common/processing-times/development-short'],
          clock: '2026-03-02T08:00',
          events: [
            {
              type: 'film.processed',
              time: '8:00',
              data: {
                line: 'M1',
                method: 'manual',
                count: 3,
                developer: {
                  temperature: '68 [degF]',
                  time: '5 min',
                },
              },
            },
          ],
          site: {},
          expect: [],
        },
      ],
      charts: [],
      rules: [],
      limits: [
        {
          id: 'chemistry-age',
          of: 'chemistry.age',
          for: {
            method: ['manual'],
          },
          max: {
            kind: 'period',
            period: {
              count: 2,
              unit: 'mo',
            },
          },
          severity: 'law',
          citation: {
            text: 'WAC 246-225A-090',
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            shown: '2023 code archive',
            read: 'text',
            note: 'Only the first part of the section was visible.',
          },
        },
      ],
      notKnown: [
        {
          topic: 'solution temperature',
          note: 'No range for developer, fixer or wash was found in the part that could be read.',
          citation: {
            text: 'WAC 246-225A-090',
            url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
            shown: '2023 code archive',
            read: 'text',
            note: 'Only the first part of the section was visible.',
          },
        },
      ],
    },
  },
  packCheck: {
    '200': {
      sound: false,
      packs: [
        {
          file: 'packs/0',
        },
      ],
      diagnostics: [
        {
          file: 'packs/0',
          line: 12,
          column: 45,
          endLine: 12,
          endColumn: 52,
          code: 'unknown-operator',
          severity: 'error',
          message:
            '"lesThan" is not an operator; there are equal, notEqual, in, notIn, contains, doesNotContain, lessThan, lessThanInclusive, greaterThan, greaterThanInclusive, below, above or outside. Did you mean lessThan?',
          nearest: 'lessThan',
          path: '/checks/0/when/operator',
          shown:
            'packs/0:12:45 error unknown-operator\n"lesThan" is not an operator; there are equal, notEqual, in, notIn, contains, doesNotContain, lessThan, lessThanInclusive, greaterThan, greaterThanInclusive, below, above or outside. Did you mean lessThan?\n  11 |     about: run\n> 12 |     when: { fact: run.fixer.time, operator: lesThan, value: 5 min }\n     |                                             ^^^^^^^\n  13 |     severity: warning',
        },
      ],
      tests: {
        run: 0,
        left: 0,
        failed: [],
      },
    },
  },
  whatIf: {
    '200': {
      caution:
        'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
      to: '2026-03-11T19:00:00.000Z',
      events: 7,
      sites: 1,
      counts: {
        added: 1,
        removed: 0,
        changed: 0,
      },
      added: [
        {
          site: 'brackenfold',
          id: 'ZYURT0Qu5mUeDw-CUC34U_',
          rule: 'clinic/own/below-five',
          title: 'Developed less than five minutes',
          topic: 'run:office/f-1',
          line: 'M1',
          severity: 'advice',
          state: 'open',
          opened: '2026-03-11T16:05:00.000Z',
          message: 'Developed 3:30',
          chain: [],
          evidence: [
            {
              at: '2026-03-11T16:05:00.000Z',
              source: 'office',
              id: 'f-1',
              type: 'film.processed',
            },
          ],
        },
      ],
      removed: [],
      changed: [],
      byRule: [
        {
          rule: 'clinic/own/below-five',
          added: 1,
          removed: 0,
          changed: 0,
          differs: {},
        },
      ],
      bySite: [
        {
          site: 'brackenfold',
          events: 7,
          added: 1,
          removed: 0,
          changed: 0,
        },
      ],
      unprovable: [
        {
          rule: 'clinic/own/five-minutes',
          why: 'notEvaluable',
          sites: 1,
          asked: 1,
          missing: [
            {
              fact: 'run.fixer.time',
              send: ['film.processed'],
            },
          ],
          send: ['film.processed'],
        },
      ],
      attention: {
        offices: 1,
        weeks: 2,
        cardsPerWeek: {
          before: 0,
          after: 0,
        },
        holdsPerWeek: {
          before: 0,
          after: 0,
        },
        overBudget: false,
      },
      failed: [],
      warnings: [],
      trial: 'bX0kq3uD5qQm8r0l0pXoHkYcKQm3mZ1p7h2yQe4Vw6E',
    },
  },
  putPack: {
    '201': {
      id: 'brackenfold/baths',
      version: '1.0.0',
      hash: 'c6863a16004ab6d57f29726ccb83f9817e7353909e3f2223d94407f9f914b8d1',
      effective: '2026-03-11T19:00:00.000Z',
      publishedAt: '2026-03-11T19:00:00.000Z',
      publishedBy: 'STEPWEDGE_ADMIN_KEY',
      isNew: true,
      warnings: [],
      stillToCome: [],
      replay: {
        sites: 1,
        pending: [],
        changed: 0,
        changes: [],
      },
    },
  },
  listPackVersions: {
    '200': {
      items: [
        {
          id: 'brackenfold/baths',
          version: '1.0.0',
          hash: 'c6863a16004ab6d57f29726ccb83f9817e7353909e3f2223d94407f9f914b8d1',
          effective: '2026-03-11T19:00:00.000Z',
          publishedAt: '2026-03-11T19:00:00.000Z',
          publishedBy: 'STEPWEDGE_ADMIN_KEY',
          standsFrom: '2026-03-11T19:00:00.000Z',
        },
      ],
    },
  },
  createKey: {
    '201': {
      id: '1f0c3a5b7d9e',
      name: 'practice software',
      scopes: ['events:write'],
      sites: ['brackenfold'],
      sources: ['pms'],
      createdAt: '2026-03-11T19:00:00.000Z',
      revokedAt: null,
      secret: 'sw.main.1f0c3a5b7d9e.…',
    },
  },
  listKeys: {
    '200': {
      items: [
        {
          id: '1f0c3a5b7d9e',
          name: 'practice software',
          scopes: ['events:write'],
          sites: ['brackenfold'],
          sources: ['pms'],
          createdAt: '2026-03-11T19:00:00.000Z',
          revokedAt: null,
        },
      ],
    },
  },
  getEntrance: {
    '200': {
      name: 'stepwedge',
      version: '0.1.0',
      docs: '/docs',
      contract: '/openapi.yaml',
      ready: '/health/ready',
      events: '/v1/events',
      findings: '/v1/findings',
      sites: '/v1/sites',
    },
  },
  healthLive: {
    '200': {
      status: 'live',
    },
  },
  healthReady: {
    '200': {
      status: 'ready',
      database: 'embedded',
      durability: 'Nothing survives the end of the process: the database is in memory.',
      migration: '20260501000000_packs',
      unjudgedSites: 0,
      packs: 29,
      version: '0.1.0',
    },
  },
};
